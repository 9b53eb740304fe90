// Package report makes what leaves the program: a post for a forum, and charts as pictures or text. It takes what package
// alerts says and lays it out; it reckons nothing itself. Text of others goes through logbook.Clean on its way.
package report

import (
	"slices"
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

// Sheet is what a helper asks for about a tank, as-of a moment.
type Sheet struct {
	Report  alerts.Report
	Since   time.Time            // from when on readings, doses and events are told
	Weeks   [][]*logbook.Reading // by line: the last reading of each of the last weeks, nil where there is none
	Methods []logbook.Method     // described ones that the readings since then name, by parameter in the report's order
	Demands []alerts.Demand      // of what is dosed
	Dosings []logbook.Dosing     // in force, one per parameter and supplement
	Done    []logbook.Entry      // what was done and seen from Since on, in time order
}

// Gather collects a sheet. Times of the sheet are in the zone of asOf.
func Gather(v *logbook.View, tank string, asOf, since time.Time) (Sheet, error) {
	r, err := alerts.Examine(v, tank, asOf)
	if err != nil {
		return Sheet{}, err
	}
	s := Sheet{Report: r, Since: since}
	if s.Methods, err = methodsIn(v, r.Lines, since); err != nil {
		return Sheet{}, err
	}
	if s.Dosings, err = dosingsInForce(v, tank, asOf); err != nil {
		return Sheet{}, err
	}
	for _, l := range r.Lines {
		week, err := lastOfWeeks(v, tank, l.Parameter.Name, asOf, postWeeks)
		if err != nil {
			return Sheet{}, err
		}
		s.Weeks = append(s.Weeks, week)
		if len(l.Readings) == 0 || l.Supply == 0 {
			continue
		}
		d, err := alerts.DemandOf(v, r.Tank, l.Parameter, asOf)
		if err != nil {
			return Sheet{}, err
		}
		s.Demands = append(s.Demands, d)
	}
	s.Done, err = doneIn(v, tank, since, asOf)
	return s, err
}

func methodsIn(v *logbook.View, lines []alerts.Line, since time.Time) ([]logbook.Method, error) {
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

// lastOfWeeks is the last reading of each of n weeks that end at a moment; nil where there is none.
func lastOfWeeks(v *logbook.View, tank, parameter string, asOf time.Time, n int) ([]*logbook.Reading, error) {
	out := make([]*logbook.Reading, n)
	for i := range out {
		end := asOf.AddDate(0, 0, 7*(i+1-n))
		last, err := v.LastReadings(tank, parameter, end, 1)
		if err != nil {
			return nil, err
		}
		if len(last) > 0 && last[0].Time.After(end.AddDate(0, 0, -7)) {
			out[i] = &last[0]
		}
	}
	return out, nil
}

// dosingsInForce are the newest dosings of every parameter and supplement that still bring something.
func dosingsInForce(v *logbook.View, tank string, asOf time.Time) ([]logbook.Dosing, error) {
	all, err := v.DosingsBefore(tank, "", asOf.Add(time.Nanosecond))
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(all, func(d logbook.Dosing) bool { return d.PerDay == 0 }), nil
}

// doneIn is what was done and seen in a stretch of time, in time order.
func doneIn(v *logbook.View, tank string, from, to time.Time) ([]logbook.Entry, error) {
	var done []logbook.Entry
	for _, kind := range []logbook.Kind{logbook.KindDosing, logbook.KindDose, logbook.KindWaterChange, logbook.KindEvent, logbook.KindChoreDone} {
		es, err := v.Entries(tank, kind, from, to)
		if err != nil {
			return nil, err
		}
		done = append(done, es...)
	}
	slices.SortStableFunc(done, func(a, b logbook.Entry) int { return a.When().Compare(b.When()) })
	return done, nil
}
