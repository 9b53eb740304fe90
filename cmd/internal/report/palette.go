package report

import "image/color"

// palette is the colours of a picture. Blue and orange stay apart in every common kind of colour blindness (after Okabe and
// Ito, Color Universal Design, 2008, from memory); beside its colour everything has a shape or a pattern of its own.
type palette struct {
	paper, ink, dim, grid color.NRGBA
	band, bandEdge        color.NRGBA
	reading, joining      color.NRGBA
	fan, mean, floor      color.NRGBA
}

func paletteOf(dark bool) palette {
	if dark {
		return palette{
			paper: hex("#15191f"), ink: hex("#e8edf2"), dim: hex("#9eabb8"), grid: faded(hex("#e8edf2"), 26),
			band: hex("#1c3448"), bandEdge: hex("#5b93c4"),
			reading: hex("#9bd0f7"), joining: hex("#6aa9d8"),
			fan: faded(hex("#e69f00"), 80), mean: hex("#ffc861"), floor: hex("#ff8a5c"),
		}
	}
	return palette{
		paper: hex("#ffffff"), ink: hex("#1b2733"), dim: hex("#5c6975"), grid: faded(hex("#1b2733"), 24),
		band: hex("#e3eff8"), bandEdge: hex("#5b93c4"),
		reading: hex("#00507f"), joining: hex("#0072b2"),
		fan: faded(hex("#e69f00"), 90), mean: hex("#8a5200"), floor: hex("#b93a00"),
	}
}
