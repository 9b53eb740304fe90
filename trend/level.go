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

// The 80 % intervals of the level lie between these quantiles.
const (
	lowQuantile  = 0.1
	highQuantile = 0.9
)

// levelSpread is the distribution of the true level, wobble and all, over cells.
type levelSpread struct {
	scale
	lo int
	p  []float64
}

// mostCells bounds the work for a level that nothing is known of.
const mostCells = 4000

// levelSpread adds up the pieces of some members. It sums to their weight.
func (f *belief) levelSpread(members []memberBelief) levelSpread {
	lo, hi := math.Inf(1), math.Inf(-1)
	const reach = 4
	var pieces []*piece
	(&belief{members: members}).each(func(_ *memberBelief, p *piece) {
		if p.weight() > leastLook {
			pieces = append(pieces, p)
		}
	})
	for _, p := range pieces {
		mean, variance := p.level()
		sd := math.Sqrt(variance)
		lo, hi = min(lo, mean-reach*sd), max(hi, mean+reach*sd)
	}
	if lo > hi {
		return levelSpread{scale: f.scale}
	}
	hi = min(hi, lo+mostCells*f.width)
	s := levelSpread{scale: f.scale, lo: max(int(math.Floor(lo/f.width)), f.bottom)}
	s.p = make([]float64, max(int(math.Ceil(hi/f.width))-s.lo, 0)+2)
	for _, p := range pieces {
		mean, variance := p.level()
		sd, w := math.Sqrt(variance), p.weight()
		at := mean/f.width - float64(s.lo)
		wide := reach * sd / f.width
		from, to := max(int(at-wide), 0), min(int(at+wide)+1, len(s.p)-1)
		before := 0.0
		for i := from; i <= to; i++ {
			up := 1.0
			if i < to {
				up = quickCDF((float64(i) + 0.5 - at) * f.width / sd)
			}
			s.p[i] += w * (up - before)
			before = up
		}
	}
	return s
}

func (s levelSpread) total() (sum float64) {
	for _, p := range s.p {
		sum += p
	}
	return sum
}

// belowAnchor is the chance of a level below the anchor, in the middle of whose cell it lies.
func (s levelSpread) belowAnchor() float64 {
	sum := 0.0
	for i, p := range s.p {
		switch at := s.lo + i; {
		case at < 0:
			sum += p
		case at == 0:
			sum += p / 2
		}
	}
	return sum / s.total()
}

// quantiles are the levels, in canonical units, below which the level lies with each of the given chances (ascending).
// Within a cell the probability is even.
func (s levelSpread) quantiles(chances ...float64) []float64 {
	total := s.total()
	out := make([]float64, 0, len(chances))
	sum := 0.0
	for i, p := range s.p {
		for len(out) < len(chances) && sum+p >= chances[len(out)]*total && p > 0 {
			within := (chances[len(out)]*total - sum) / p
			out = append(out, s.level(float64(s.lo+i)-0.5+within))
		}
		sum += p
	}
	for len(out) < len(chances) {
		out = append(out, s.level(float64(s.lo+len(s.p))))
	}
	return out
}
