package alerts

import (
	"time"

	"leadline/logbook"
	"leadline/trend"
)

// WhatIf is the line's assessment with things done to the water that are yet to come: another dosing, a dose, a water
// change. They change the forecast, the chances and the floor dates, not what is believed of the present.
func (l Finding) WhatIf(v *logbook.View, asOf time.Time, extra []trend.Input) (trend.Assessment, error) {
	obs, err := l.observe(v)
	if err != nil {
		return trend.Assessment{}, err
	}
	return trend.WhatIf(obs, l.Inputs, Day(asOf), extra, l.settings(0)), nil
}
