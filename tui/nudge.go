package tui

import (
	"math"
	"strings"

	"leadline/alerts/entry"
	"leadline/logbook/water"
)

// number is what stands in the field at the cursor, with its unit as typed; ok is false for what is no number. An empty field
// starts from what is: the dosing in force, and nothing for the others.
func (w *whatIf) number() (v float64, unit string, ok bool) {
	number, unit := entry.Split(strings.TrimSpace(w.fields[w.at].input.Value()))
	if number == "" {
		return w.asItIs(), unit, unit == ""
	}
	v, err := entry.Number(number)
	return v, unit, err == nil
}

// nudge raises or lowers the field at the cursor by a step, so that the forecast can be watched as it moves.
func (w *whatIf) nudge(steps float64) {
	f := w.fields[w.at]
	v, unit, ok := w.number()
	if !ok {
		return
	}
	step := w.step()
	v = math.Max(0, math.Round(v/step+steps)*step)
	if w.at == ifChange {
		v = math.Min(v, 100)
	}
	// Rounding to a step leaves digits behind that nobody would type.
	text := water.Format(v, max(0, int(math.Ceil(-math.Log10(step)-1e-9))))
	f.input.SetValue(strings.TrimSpace(text + " " + unit))
	f.input.CursorEnd()
}

// asItIs is where an empty field stands.
func (w *whatIf) asItIs() float64 {
	switch w.at {
	case ifDosing:
		return w.line.Supply
	case ifNew:
		if level := w.line.Assessment.Level; !math.IsNaN(level) {
			return level
		}
	}
	return 0
}

// step is a convenient small change of the field at the cursor: 1, 2 or 5 times a power of ten, about a tenth of the
// dosing in force or of the greatest careful change of a day; 5 % of a water change.
func (w *whatIf) step() float64 {
	if w.at == ifChange {
		return 5
	}
	size := w.line.Parameter.MaxRise / 10
	if w.at == ifDosing && w.line.Supply > 0 {
		size = w.line.Supply / 20
	}
	if !(size > 0) {
		size = math.Pow10(-w.line.Parameter.Digits)
	}
	power := math.Pow(10, math.Floor(math.Log10(size)))
	for _, m := range []float64{5, 2} {
		if size >= m*power {
			return m * power
		}
	}
	return power
}
