package trend

import "math"

const (
	unseenChance = 0.10 // of an unseen crossing that is still acceptable
	longestWait  = 42   // days; nothing is left untested longer
)

// nextTest is the number of days after as-of by which to test again, so that the chance of having gone below the floor
// unseen stays under a tenth; 0 is "now". Without a floor the edges of the band take its place, by the 80 % interval of the
// forecast level: a tenth of its distribution lies beyond each end. NaN where there is neither floor nor band.
func (e *engine) nextTest(o outlook, level float64) float64 {
	if e.belief.floored {
		return math.Min(o.reached(unseenChance), longestWait)
	}
	if math.IsNaN(e.set.Low) && math.IsNaN(e.set.High) {
		return math.NaN()
	}
	before := ForecastPoint{Mean: level, Lo: level, Hi: level}
	for _, p := range o.points {
		if out := leaves(before, p, e.set); !math.IsNaN(out) {
			return math.Min(out, longestWait)
		}
		before = p
	}
	return longestWait
}

// leaves is the day, between two forecast points, on which an end of the interval leaves the band; NaN where none does. An
// end that is outside at the first of them says "now".
func leaves(a, b ForecastPoint, set Settings) float64 {
	day := math.NaN()
	sooner := func(d float64) {
		if math.IsNaN(day) || d < day {
			day = d
		}
	}
	at := func(from, to, edge float64) float64 {
		return a.Days + (b.Days-a.Days)*math.Min(math.Max((edge-from)/(to-from), 0), 1)
	}
	if b.Lo < set.Low {
		sooner(at(a.Lo, b.Lo, set.Low))
	}
	if b.Hi > set.High {
		sooner(at(a.Hi, b.Hi, set.High))
	}
	return day
}
