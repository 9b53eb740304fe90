package trend

import "math"

// forecastDays are the days after as-of for which the level is said.
var forecastDays = []float64{7, 14, 28, 42}

// allHorizons and alarmHorizon are horizons to ask for.
var (
	allHorizons  = [...]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, horizons - 1}
	alarmHorizon = allHorizons[nearSteps : nearSteps+1]
)

// forecast is the level on forecastDays. Habits go on evenly.
func (f *belief) forecast(ahead []Input) []ForecastPoint {
	points := make([]ForecastPoint, 0, len(forecastDays))
	path := f.clone()
	path.habit = habit{}
	for _, days := range forecastDays {
		end := f.day + days
		for len(ahead) > 0 && ahead[0].Day <= end {
			path.predict(ahead[0].Day - path.day)
			path.take(ahead[0])
			ahead = ahead[1:]
		}
		path.predict(end - path.day)
		points = append(points, path.point(days))
	}
	return points
}

// point is the level's distribution now, said as a forecast.
func (f *belief) point(days float64) ForecastPoint {
	s, below := f.levelSpread(f.members), math.NaN()
	if f.floored {
		below = s.belowAnchor()
	}
	q := s.quantiles(lowQuantile, 0.5, highQuantile)
	return ForecastPoint{Days: days, Mean: q[1], Lo: q[0], Hi: q[2], Below: below}
}

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
