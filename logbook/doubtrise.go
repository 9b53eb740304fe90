package logbook

import "math"

// DoubtRise looks at a dose or a dosing that is about to be noted down. It refuses one that would lift the level past what
// any water can have, and says of one that is more than careful why it may be a slip. Of a dosing that takes the place of
// another of the same supplement, only what it adds to that one is doubted; one of 0 that stops nothing, while something
// else runs, is refused. Entries of other kinds are not doubted.
func (v *View) DoubtRise(e Entry) (why string, yes bool, err error) {
	var d Dosing
	daily := false
	switch e := e.(type) {
	case Dose:
		d = Dosing{Time: e.Time, Tank: e.Tank, Parameter: e.Parameter, PerDay: e.Amount, Unit: e.Unit}
	case Dosing:
		d, daily = e, true
		if err := v.refuseIdleStop(d); err != nil {
			return "", false, err
		}
	default:
		return "", false, nil
	}
	p, err := v.Parameter(d.Parameter)
	if err != nil {
		return "", false, err
	}
	rise, err := p.CanonicalChange(d.PerDay, d.Unit)
	if err != nil {
		return "", false, err
	}
	level := math.NaN()
	last, err := v.LastReadings(d.Tank, p.Name, d.Time, 1)
	if err != nil {
		return "", false, err
	}
	if len(last) > 0 {
		level = last[0].Value
	}
	if err := ImpossibleRise(p, level, rise); err != nil {
		return "", false, err
	}
	if daily {
		before, err := v.dosedBefore(p, d)
		if err != nil {
			return "", false, err
		}
		rise -= before
	}
	why, yes = UnlikelyRise(p, rise)
	return why, yes, nil
}

// dosedBefore is what a dosing takes the place of: the daily amount of the same supplement till then, canonical unit.
func (v *View) dosedBefore(p Parameter, d Dosing) (float64, error) {
	running, err := v.DosingsBefore(d.Tank, p.Name, d.Time)
	if err != nil {
		return 0, err
	}
	for _, old := range running {
		if old.Supplement == d.Supplement {
			return p.CanonicalChange(old.PerDay, old.Unit)
		}
	}
	return 0, nil
}
