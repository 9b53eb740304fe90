package main

import (
	"math"
	"time"

	"leadline/logbook"
)

// checkRises refuses doses and dosings that no water can take and gathers warnings about those that are larger than is
// careful. Of a dosing that takes the place of another, only what it adds to that one is asked about.
func (a *app) checkRises(v *logbook.View, tank logbook.Tank, entries []logbook.Entry) (warnings []string, err error) {
	for _, e := range entries {
		var name, unit string
		var amount, before float64
		meant := ""
		switch e := e.(type) {
		case logbook.Dose:
			name, unit, amount = e.Parameter, e.Unit, e.Amount
		case logbook.Dosing:
			name, unit, amount = e.Parameter, e.Unit, e.PerDay
			meant = "; right only if the tank consumes as much"
			if before, err = dosedBefore(v, e); err != nil {
				return nil, err
			}
		default:
			continue
		}
		p, err := a.parameter(v, name)
		if err != nil {
			return nil, err
		}
		rise, err := canonicalRise(p, amount, unit)
		if err != nil {
			return nil, err
		}
		level, err := lastLevel(v, tank, p, e.When())
		if err != nil {
			return nil, err
		}
		if err := logbook.ImpossibleRise(p, level, rise); err != nil {
			return nil, err
		}
		if why, yes := logbook.UnlikelyRise(p, rise-before); yes {
			warnings = append(warnings, p.Name+": "+why+meant)
		}
	}
	return warnings, nil
}

// dosedBefore is what a dosing takes the place of: the daily amount of the same supplement till then, canonical unit.
func dosedBefore(v *logbook.View, d logbook.Dosing) (float64, error) {
	running, err := v.DosingsBefore(d.Tank, d.Parameter, d.Time)
	if err != nil {
		return 0, err
	}
	p, err := v.Parameter(d.Parameter)
	if err != nil {
		return 0, err
	}
	for _, old := range running {
		if old.Supplement == d.Supplement {
			return canonicalRise(p, old.PerDay, old.Unit)
		}
	}
	return 0, nil
}

func canonicalRise(p logbook.Parameter, amount float64, unit string) (float64, error) {
	u, err := p.FindUnit(unit)
	if err != nil {
		return 0, err
	}
	return u.CanonicalChange(amount)
}

// lastLevel is the last reading up to a moment, canonical unit; NaN where there is none.
func lastLevel(v *logbook.View, tank logbook.Tank, p logbook.Parameter, when time.Time) (float64, error) {
	rs, err := v.LastReadings(tank.Name, p.Name, when, 1)
	if err != nil || len(rs) == 0 {
		return math.NaN(), err
	}
	return rs[0].Value, nil
}
