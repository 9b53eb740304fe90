package logbook

import (
	"fmt"
	"math"
	"strings"
)

// RefuseRise refuses a dose or a dosing that would lift the level past what any water can have, and a dosing of 0 that
// stops nothing while something else runs. Entries of other kinds are not refused.
func (v *View) RefuseRise(e Entry) error {
	var d Dosing
	switch e := e.(type) {
	case Dose:
		d = Dosing{Time: e.Time, Tank: e.Tank, Parameter: e.Parameter, PerDay: e.Amount, Unit: e.Unit}
	case Dosing:
		d = e
		if err := v.refuseIdleStop(d); err != nil {
			return err
		}
	default:
		return nil
	}
	p, err := v.Parameter(d.Parameter)
	if err != nil {
		return err
	}
	rise, err := p.CanonicalChange(d.PerDay, d.Unit)
	if err != nil {
		return err
	}
	level := math.NaN()
	last, err := v.LastReadings(d.Tank, p.Name, d.Time, 1)
	if err != nil {
		return err
	}
	if len(last) > 0 {
		level = last[0].Value
	}
	return ImpossibleRise(p, level, rise)
}

// refuseIdleStop refuses a daily amount of 0 that would stop nothing while the parameter is dosed by something else:
// whoever writes 0 means the dosing to end, and a standing amount is one of a supplement. Of a supplement that runs for
// another parameter of the tank it is let through: to stop its volume stops everything that it raises.
func (v *View) refuseIdleStop(d Dosing) error {
	if d.PerDay != 0 {
		return nil
	}
	all, err := v.DosingsBefore(d.Tank, "", d.Time)
	if err != nil {
		return err
	}
	var running, named []string
	for _, other := range all {
		switch {
		case other.PerDay == 0:
		case other.Supplement == d.Supplement && (d.Supplement != "" || other.Parameter == d.Parameter):
			return nil
		case other.Parameter == d.Parameter:
			running = append(running, other.Supplement)
			if other.Supplement == "" {
				named = append(named, "dosing without a supplement's name")
			} else {
				named = append(named, quote(other.Supplement))
			}
		}
	}
	if len(running) == 0 {
		return nil
	}
	why := "0 would stop nothing"
	if d.Supplement != "" {
		why += " of " + quote(d.Supplement)
	}
	hint := "say which one stops: --supplement " + quote(running[0])
	if running[0] == "" {
		hint = "leave out the supplement to stop it"
	}
	return Refusal{Field: d.Parameter, Value: "0",
		Reason: fmt.Sprintf("%s: what runs is %s", why, strings.Join(named, ", ")), Hint: hint}
}

// manySlips is how many times the greatest careful change a rise has to be before a slip of the pen is the likelier
// reason: such slips are of ten times and more, and two or three days' worth at once is given on purpose. Chosen here.
const manySlips = 10

// UnlikelyRise says that a rise is more than the greatest careful one of its parameter in a day, and by how much, in
// one sentence; "" of one that is not. rise is in the canonical unit: that of a dose, or what a standing daily amount
// adds to the one whose place it takes. A parameter of which no such limit is known is not asked about.
func UnlikelyRise(p Parameter, rise float64) (why string) {
	if !(p.MaxRise > 0) || !(rise > p.MaxRise*(1+1e-9)) { // the 1e-9 is for what a change of unit rounds
		return ""
	}
	why = fmt.Sprintf("a rise of %s is more than the greatest careful one of %s a day",
		formatRise(p, rise), withUnit(p.limit(p.MaxRise), p.ShownUnit()))
	if rise >= manySlips*p.MaxRise {
		why += fmt.Sprintf(", %.0f times over: a slip of the unit or of the decimal point?", rise/p.MaxRise)
	}
	return why
}

// ImpossibleRise refuses a rise that would lift the level past what any water can have; both are in the canonical unit.
// A level that is not known (NaN) counts as the least that is possible.
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
		Reason: fmt.Sprintf("a rise of %s is not possible: %s it would pass %s", formatRise(p, rise), from,
			withUnit(p.limit(high), p.ShownUnit())),
		Hint: "was another unit meant, or has the decimal point slipped?"}
}

// formatRise prints a value with its unit in the parameter's decimals, with more where these would leave too little of
// it.
func formatRise(p Parameter, v float64) string {
	if v != 0 && math.Abs(v) < 10*math.Pow(10, -float64(p.Digits)) {
		p.Digits++
	}
	return p.withUnit(v)
}
