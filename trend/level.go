package trend

import "math"

// scale is the logarithmic scale of one series, in cells of equal width: cell j stands for the level
//
//	anchor · exp(j·width)
//
// so that j < 0 is "bottomed out". Being counted in anchors and in wobbles, everything the engine says scales with its
// input exactly.
type scale struct {
	anchor float64 // canonical unit
	width  float64 // of a cell, natural logarithm
	bottom int     // the lowest cell; it stands for everything below as well
}

// lowestLevel is the level of the lowest cell in anchors: nothing is told apart below a twentieth of the floor.
const lowestLevel = 0.05

// lowestLog is its logarithm.
var lowestLog = math.Log(lowestLevel)

// newScale makes a scale for a wobble (relative), anchored at the floor or, without one, at the first reading.
func newScale(set Settings, first Observation) scale {
	s := scale{anchor: set.Floor, width: wobbleOf(set) * cellsPerWobble}
	if !hasFloor(set) {
		s.anchor = max(first.Value, first.SD)
	}
	s.bottom = int(math.Ceil(math.Log(lowestLevel) / s.width))
	return s
}

// cellsPerWobble is the width of a cell in wobbles.
const cellsPerWobble = 0.4

// wobbleOf is the wobble in force.
func wobbleOf(set Settings) float64 {
	if set.Wobble > 0 {
		return set.Wobble
	}
	return DefaultWobble
}

// level is the level of a cell in canonical units.
func (s scale) level(cell float64) float64 { return s.anchor * math.Exp(cell*s.width) }

// hasFloor says whether there is a floor to watch.
func hasFloor(set Settings) bool { return set.Floor > 0 && !math.IsInf(set.Floor, 1) }
