package main

import "leadline/logbook"

// checkRises refuses doses and dosings that no water can take and gathers warnings about those that are larger than is
// careful.
func (a *app) checkRises(v *logbook.View, entries []logbook.Entry) (warnings []string, err error) {
	for _, e := range entries {
		why, yes, err := v.DoubtRise(e)
		if err != nil {
			return nil, err
		}
		if !yes {
			continue
		}
		switch e := e.(type) {
		case logbook.Dose:
			warnings = append(warnings, e.Parameter+": "+why)
		case logbook.Dosing:
			warnings = append(warnings, e.Parameter+": "+why+"; right only if the tank consumes as much")
		}
	}
	return warnings, nil
}
