package trend

import "math"

const (
	unseenChance = 0.10 // of an unseen crossing that is still acceptable
	longestWait  = 42   // days; nothing is left untested longer
)

// nextTest is the number of days after as-of by which to test again, so that the chance of having gone below the floor
// unseen stays under a tenth; 0 is "now". Without a floor the edges of the band take its place, by the 80 % interval of
// the forecast level: a tenth of its distribution lies beyond each end. NaN where there is neither floor nor band.
func (e *engine) nextTest(c floorChances, a *Assessment) float64 {
	if e.belief.floored {
		return min(c.reached(unseenChance), longestWait)
	}
	if math.IsNaN(e.set.Low) && math.IsNaN(e.set.High) {
		return math.NaN()
	}
	before := ForecastPoint{Lo: a.Level, Hi: a.Level}
	for _, p := range a.Forecast {
		if out := leaves(before, p, e.set); out < longestWait {
			return out
		}
		before = p
	}
	return longestWait
}

// leaves is the day, between two forecast points, on which an end of the interval leaves the band; +Inf where none
// does. An end that is outside at the first of them says "now".
func leaves(a, b ForecastPoint, set Settings) float64 {
	out := math.Inf(1)
	at := func(from, to, edge float64) {
		share := min(max((edge-from)/(to-from), 0), 1)
		out = min(out, a.Days+(b.Days-a.Days)*share)
	}
	if b.Lo < set.Low {
		at(a.Lo, b.Lo, set.Low)
	}
	if b.Hi > set.High {
		at(a.Hi, b.Hi, set.High)
	}
	return out
}
