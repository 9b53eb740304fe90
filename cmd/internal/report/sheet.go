// Package report makes what leaves the program: a post for a forum, and charts as pictures or text. It takes what
// package alerts says and lays it out; it reckons nothing itself. Text of others goes through logbook.Clean on its
// way.
package report

import (
	"cmp"
	"slices"
	"time"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/logbook"
)

// Sheet is what a helper asks for about a tank, as-of a moment.
type Sheet struct {
	Report  alerts.Report
	Since   time.Time        // from when on readings, doses and events are told
	Methods []logbook.Method // described ones that the readings since then name, by parameter in the report's order
	Demands []alerts.Demand  // of what is dosed
	Dosings []logbook.Dosing // in force, one per parameter and supplement, that bring something
	Done    []logbook.Entry  // what was done and seen from Since on, in time order
	Known   words.Known
}

// Gather collects a sheet. Times of the sheet are in the zone of asOf.
func Gather(v *logbook.View, tank string, asOf, since time.Time) (Sheet, error) {
	r, err := alerts.Examine(v, tank, asOf)
	if err != nil {
		return Sheet{}, err
	}
	s := Sheet{Report: r, Since: since}
	var errs [4]error
	s.Methods, errs[0] = methodsIn(v, r.Findings, since)
	s.Dosings, errs[1] = v.DosingsBefore(tank, "", asOf.Add(time.Nanosecond))
	s.Known, errs[2] = words.Know(v, tank)
	s.Done, errs[3] = picture.Done(v, tank, since, asOf)
	if err := cmp.Or(errs[:]...); err != nil {
		return Sheet{}, err
	}
	s.Dosings = slices.DeleteFunc(s.Dosings, func(d logbook.Dosing) bool { return d.PerDay == 0 })
	for _, l := range r.Findings {
		if len(l.Readings) == 0 || l.Supply == 0 {
			continue
		}
		d, err := alerts.DemandOf(v, r.Tank, l.Parameter, asOf)
		if err != nil {
			return Sheet{}, err
		}
		s.Demands = append(s.Demands, d)
	}
	return s, nil
}

func methodsIn(v *logbook.View, lines []alerts.Finding, since time.Time) ([]logbook.Method, error) {
	all, err := v.Methods()
	if err != nil {
		return nil, err
	}
	var used []logbook.Method
	for _, l := range lines {
		for _, m := range all {
			named := func(r logbook.Reading) bool { return r.Method == m.Name && !r.Time.Before(since) }
			if m.Parameter == l.Parameter.Name && slices.ContainsFunc(l.Readings, named) {
				used = append(used, m)
			}
		}
	}
	return used, nil
}
