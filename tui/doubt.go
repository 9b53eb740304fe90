package tui

import (
	"fmt"
	"math"
	"time"

	"leadline/logbook"
)

// doubtRises asks about doses and dosings that are larger than is careful and refuses those that no water can take. Of a
// dosing that takes the place of another, only what it adds to that one is asked about.
func doubtRises(rises []rise, at time.Time, tank, supplement string, daily bool) doubter {
	return func(v *logbook.View) ([]string, error) {
		var out []string
		for _, r := range rises {
			by, err := r.canonical()
			if err != nil {
				return nil, err
			}
			level, before := math.NaN(), 0.0
			last, err := v.LastReadings(tank, r.parameter.Name, at, 1)
			if err != nil {
				return nil, err
			}
			if len(last) > 0 {
				level = last[0].Value
			}
			if err := logbook.ImpossibleRise(r.parameter, level, by); err != nil {
				return nil, fmt.Errorf("%s: %s", r.parameter.Name, refusalText(err))
			}
			if daily {
				if before, err = dosedBefore(v, r.parameter, tank, supplement, at); err != nil {
					return nil, err
				}
			}
			if why, yes := logbook.UnlikelyRise(r.parameter, by-before); yes {
				if daily {
					why = "right only if the tank consumes as much: " + why
				}
				out = append(out, r.parameter.Name+": "+why)
			}
		}
		return out, nil
	}
}

// dosedBefore is the daily amount of the same supplement till then, canonical unit: what a new dosing takes the place of.
func dosedBefore(v *logbook.View, p logbook.Parameter, tank, supplement string, at time.Time) (float64, error) {
	running, err := v.DosingsBefore(tank, p.Name, at)
	if err != nil {
		return 0, err
	}
	for _, old := range running {
		if old.Supplement == supplement {
			return rise{p, old.PerDay, old.Unit}.canonical()
		}
	}
	return 0, nil
}
