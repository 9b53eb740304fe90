package logbook

import (
	"fmt"
	"math"
)

// manySlips is how many times the greatest careful change a rise has to be before a slip of the pen is the likelier
// reason: such slips are of ten times and more, and two or three days' worth at once is given on purpose. Chosen here.
const manySlips = 10

// UnlikelyRise says whether a rise is more than the greatest careful one of its parameter in a day, and by how much, in
// one sentence. rise is in the canonical unit: that of a dose, or what a standing daily amount adds to the one whose
// place it takes. A parameter of which no such limit is known is not asked about.
func UnlikelyRise(p Parameter, rise float64) (why string, yes bool) {
	if !(p.MaxRise > 0) || !(rise > p.MaxRise*(1+1e-9)) { // the 1e-9 is for what a change of unit rounds
		return "", false
	}
	why = fmt.Sprintf("a rise of %s is more than the greatest careful one of %s a day",
		formatRise(p, rise), withUnit(p.limit(p.MaxRise), p.ShownUnit()))
	if rise >= manySlips*p.MaxRise {
		why += fmt.Sprintf(", %.0f times over: a slip of the unit or of the decimal point?", rise/p.MaxRise)
	}
	return why, true
}

// ImpossibleRise refuses a rise that would lift the level past what any water can have; both are in the canonical unit. A
// level that is not known (NaN) counts as the least that is possible.
func ImpossibleRise(p Parameter, level, rise float64) error {
	low, high := p.limits()
	from := fmt.Sprintf("from the last reading of %s", formatRise(p, level))
	if math.IsNaN(level) {
		level, from = math.Max(low, 0), "even from nothing"
	}
	if !(level+rise > high) {
		return nil
	}
	return Refusal{Field: p.Name, Value: formatNumber(rise),
		Reason: fmt.Sprintf("a rise of %s is not possible: %s it would pass %s", formatRise(p, rise), from, withUnit(p.limit(high), p.ShownUnit())),
		Hint:   "was another unit meant, or has the decimal point slipped?"}
}

// formatRise prints a value with its unit in the parameter's decimals, with more where these would leave too little of it.
func formatRise(p Parameter, v float64) string {
	if v != 0 && math.Abs(v) < 10*math.Pow(10, -float64(p.Digits)) {
		p.Digits++
	}
	return p.withUnit(v)
}
