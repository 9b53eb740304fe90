package alerts

import (
	"math"
	"slices"
	"time"

	"leadline/logbook"
	"leadline/trend"
)

// WhatIf is the line's assessment with things done to the water that are yet to come: another dosing, a dose, a water
// change. They change the forecast, the chances and the floor dates, not what is believed of the present.
//
// The engine's courses rise by a little of the level a day and not more, since that is what levels do by themselves. What
// corals build with is taken whatever the level, so that more dosing lifts it by just so much more: there the forecast
// without the additional dosing is lifted by arithmetic. Nutrients are taken the faster the more there is of them, and
// are left to the engine.
func (l Line) WhatIf(v *logbook.View, asOf time.Time, extra []trend.Input) (trend.Assessment, error) {
	obs, err := l.observe(v)
	if err != nil {
		return trend.Assessment{}, err
	}
	more := math.Inf(-1)
	if !l.Parameter.Nutrient {
		extra, more = withoutRaise(extra, l.Supply)
	}
	a := trend.WhatIf(obs, l.Inputs, Day(asOf), extra, l.settings(0))
	if more > 0 {
		a.Forecast = lifted(a.Forecast, more, Day(asOf), extra)
	}
	return a, nil
}

// withoutRaise takes a dosing above the supply out of the inputs, and says by how much it is above.
func withoutRaise(extra []trend.Input, supply float64) (rest []trend.Input, more float64) {
	for _, in := range extra {
		if in.Kind == trend.Dosing && in.Amount > supply {
			more = in.Amount - supply
			continue
		}
		rest = append(rest, in)
	}
	return rest, more
}

// lifted raises a forecast by more a day from day on; a water change takes its part of what has come in until then.
func lifted(points []trend.ForecastPoint, more, day float64, extra []trend.Input) []trend.ForecastPoint {
	points = slices.Clone(points)
	for i := range points {
		lift, from := 0.0, day
		for _, in := range extra {
			if in.Kind != trend.Change || in.Day > day+points[i].Days {
				continue
			}
			lift = (lift + more*(in.Day-from)) * (1 - in.Fraction)
			from = in.Day
		}
		lift += more * (day + points[i].Days - from)
		points[i].Mean += lift
		points[i].Lo += lift
		points[i].Hi += lift
	}
	return points
}
