package tui

import (
	"math"
	"strings"

	"leadline/alerts/entry"
	"leadline/logbook"
	"leadline/logbook/water"
)

// stepper raises or lowers a typed number by steps, so that the forecast can be watched as it moves.
type stepper struct {
	start float64 // where an empty field stands
	step  float64
	most  float64
}

// number is what is typed, with its unit as typed; ok is false for what is no number.
func (s stepper) number(text string) (v float64, unit string, ok bool) {
	number, unit := logbook.Split(strings.TrimSpace(text))
	if number == "" {
		return s.start, unit, unit == ""
	}
	v, err := entry.Number(number)
	return v, unit, err == nil
}

// by is the text so many steps on; what is no number stays.
func (s stepper) by(steps float64, text string) string {
	v, unit, ok := s.number(text)
	if !ok {
		return text
	}
	v = math.Min(math.Max(0, math.Round(v/s.step+steps)*s.step), s.most)
	// Rounding to a step leaves digits behind that nobody would type.
	digits := max(0, int(math.Ceil(-math.Log10(s.step)-1e-9)))
	return strings.TrimSpace(water.Format(v, digits) + " " + unit)
}

// roundStep is 1, 2 or 5 times a power of ten, the greatest that is not above size.
func roundStep(size float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(size)))
	for _, m := range []float64{5, 2} {
		if size >= m*power {
			return m * power
		}
	}
	return power
}
