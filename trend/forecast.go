package trend

import "math"

// forecastDays are the days after as-of for which the level is said.
var forecastDays = []float64{7, 14, 28, 42}

// alarmHorizon and allHorizons are horizons to ask for.
var alarmHorizon, allHorizons = []int{nearSteps}, func() []int {
	all := make([]int, horizons)
	for i := range all {
		all[i] = i
	}
	return all
}()

// outlook is the future as believed at one moment, habits and dosing going on as they are.
type outlook struct {
	points  []ForecastPoint
	chances floorChances // without a floor nothing
	floored bool
}

// look follows the belief to the horizon, through the inputs that lie ahead.
func (f *belief) look(ahead []Input) outlook {
	o := outlook{points: f.forecast(ahead), floored: f.floored}
	if f.floored {
		o.chances = f.chances(allHorizons, ahead)
	}
	return o
}

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
	s := f.levelSpread(f.members)
	q := s.quantiles(lowQuantile, highQuantile)
	mean := s.trimmedMean(lowQuantile, highQuantile)
	return ForecastPoint{Days: days, Mean: math.Min(math.Max(mean, q[0]), q[1]), Lo: q[0], Hi: q[1]}
}

// within is the chance of having been below the floor within some days, a multiple of nearStep up to alarmDays.
func (o *outlook) within(days float64) float64 { return o.chances.by[int(days/nearStep)] }

// reached is the number of days within which the chance of having been below the floor reaches the one given; +Inf
// where it is not reached within Horizon.
func (o *outlook) reached(chance float64) float64 {
	days, by := horizonDays(), o.chances.by
	for i, p := range by {
		if p < chance {
			continue
		}
		if i == 0 {
			return 0
		}
		part := (chance - by[i-1]) / (p - by[i-1])
		return days[i-1] + part*(days[i]-days[i-1])
	}
	return math.Inf(1)
}
