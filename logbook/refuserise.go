package logbook

import "math"

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
