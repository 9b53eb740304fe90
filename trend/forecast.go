package trend

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
	s := f.levelSpread(f.members)
	q := s.quantiles(lowQuantile, highQuantile)
	mean := s.trimmedMean(lowQuantile, highQuantile)
	return ForecastPoint{Days: days, Mean: min(max(mean, q[0]), q[1]), Lo: q[0], Hi: q[1]}
}
