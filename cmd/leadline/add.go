package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/logbook"
)

type addOptions struct {
	unit, at, method, note string
	yes                    bool
}

func newAdd(a *app) *cobra.Command {
	var opt addOptions
	cmd := &cobra.Command{
		Use:   "add PARAMETER=VALUE...",
		Short: "note down readings; they are on disk when it returns",
		Long: `Note down readings of one test day. Parameters go by name or code, values may be "<0.02" or ">50",
and a unit may follow the number. Several results of one test, as in calcium='420 430', are kept as their mean. A bare number is in the unit that --unit names, else in that of your settings
(leadline config), else in the parameter's own. Either all of them are kept or none is.

An unlikely value is kept, with a warning that names the likely slip; an impossible one is refused.`,
		Example: `  # two readings now
  leadline add nitrate=4.2 po4='<0.02'

  # in another unit, by a described method, for yesterday
  leadline add po4='33 ppb P' --method photometer-p --at 2026-03-07T09:10`,
		Args:              cobra.MinimumNArgs(1),
		ValidArgsFunction: a.completeAssignment,
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.add(args, opt)
		},
	}
	f := cmd.Flags()
	f.StringVar(&opt.unit, "unit", "", "`UNIT` of the values that have none behind them (else that of your settings, else the parameter's own)")
	f.StringVar(&opt.at, "at", "", "`TIME` of the test (else now); a date alone means noon in the tank's zone")
	f.StringVar(&opt.method, "method", "", "`NAME` of the kit or instrument")
	f.StringVar(&opt.note, "note", "", "a `TEXT` to remember")
	f.BoolVarP(&opt.yes, "yes", "y", false, "the values are meant: no warning about unlikely ones, no note on a unit")
	return cmd
}

func (a *app) add(args []string, opt addOptions) error {
	assignments, err := parseAssignments(args)
	if err != nil {
		return err
	}
	book, err := a.book()
	if err != nil {
		return err
	}
	var readings []logbook.Reading
	var warnings []string
	err = book.View(func(v *logbook.View) error {
		tank, err := a.tank(v)
		if err != nil {
			return err
		}
		when, err := a.at(opt.at, tank)
		if err != nil {
			return err
		}
		for _, as := range assignments {
			r, said, err := a.newReading(v, tank, as, opt, when)
			if err != nil {
				return err
			}
			readings, warnings = append(readings, r), append(warnings, said...)
		}
		return nil
	})
	if err != nil {
		return err
	}
	records := make([]logbook.Record, len(readings))
	for i, r := range readings {
		records[i] = r
	}
	ids, err := book.Append(records...)
	if err != nil {
		return err
	}
	for i := range readings {
		readings[i].ID = ids[i]
	}
	if !opt.yes {
		for _, w := range warnings {
			a.say("%s", w)
		}
	}
	return a.printReadings(book, readings)
}

// newReading makes a reading of an assignment, with a warning where its value is unlikely and a note where its unit can be
// meant in two ways.
func (a *app) newReading(v *logbook.View, tank logbook.Tank, as assignment, opt addOptions, when time.Time) (logbook.Reading, []string, error) {
	p, err := a.parameter(v, as.parameter)
	if err != nil {
		return logbook.Reading{}, nil, err
	}
	unit, said, err := a.readingUnit(v, p, as, opt)
	if err != nil {
		return logbook.Reading{}, nil, err
	}
	if _, err := findUnit(p, unit); err != nil {
		return logbook.Reading{}, nil, fmt.Errorf("%s: %w", p.Name, err)
	}
	value, repeats, err := logbook.Mean(as.value)
	if err != nil {
		return logbook.Reading{}, nil, fmt.Errorf("%s: %w", p.Name, err)
	}
	r, err := logbook.ParseReading(p, value, unit)
	if err != nil {
		return logbook.Reading{}, nil, err
	}
	r.Tank, r.Time, r.Method, r.Note = tank.Name, when, opt.method, opt.note
	if repeats != "" {
		r.Note = strings.Trim(opt.note+"; "+repeats, "; ")
		said = append(said, fmt.Sprintf("note: %s: %s, %s", p.Name, value, repeats))
	}
	methods, err := v.Methods()
	if err != nil {
		return logbook.Reading{}, nil, err
	}
	if near := nearDescribed(opt.method, methodsOf(methods, p)); near != "" {
		said = append(said, fmt.Sprintf("note: %s: the method %s is not described; did you mean %s?", p.Name, opt.method, near))
	}
	twice, err := thereAlready(v, r)
	if err != nil {
		return logbook.Reading{}, nil, err
	}
	if twice != "" {
		said = append(said, "note: "+p.Name+": "+twice)
	}
	if note, yes := logbook.UnitNote(p, r); yes {
		said = append(said, "note: "+p.Name+": "+note)
	}
	why, yes := logbook.Unlikely(p, r)
	if !yes {
		why, err = farFromExpected(v, tank, p, r)
	}
	if why != "" {
		said = append(said, "warning: "+p.Name+": "+why)
	}
	return r, said, err
}

// thereAlready says that the very reading is in the book: a command that was run again. It is kept all the same, for two
// tests of one water may show one number.
func thereAlready(v *logbook.View, r logbook.Reading) (string, error) {
	same, err := v.Readings(r.Tank, r.Parameter, r.Time, r.Time.Add(time.Nanosecond))
	for _, old := range same {
		if old.Time.Equal(r.Time) && old.Value == r.Value && old.Bound == r.Bound && old.Method == r.Method {
			return fmt.Sprintf("the same reading is there already: %s; leadline strike takes one of them back", old.ID), err
		}
	}
	return "", err
}

// readingUnit is the unit of a value: the one typed, else that of the settings, else the parameter's own. Where it was not
// typed, a note says what was taken whenever somebody could have meant another.
func (a *app) readingUnit(v *logbook.View, p logbook.Parameter, as assignment, opt addOptions) (unit string, said []string, err error) {
	switch {
	case as.unit != "":
		return as.unit, nil, nil
	case opt.unit != "":
		return opt.unit, nil, nil
	}
	s, err := a.settings()
	if err != nil {
		return "", nil, err
	}
	all, err := v.Parameters()
	if err != nil {
		return "", nil, err
	}
	if err := s.check(all); err != nil {
		return "", nil, err
	}
	set, key := s.unitOf(p)
	shows, err := methodUnit(v, p, opt.method)
	if err != nil {
		return "", nil, err
	}
	differ := shows != "" && !sameUnit(p, set, shows)
	switch {
	case set != "" && differ:
		return "", nil, usagef(fmt.Sprintf("write the unit behind it: %s='%s %s'", as.parameter, as.value, shows),
			"%s=%s: in %s, as %s says, or in %s, as the method %s shows?", as.parameter, as.value, set, s.where(key), shows, opt.method)
	case set != "":
		return set, []string{fmt.Sprintf("note: %s: taken as %s, as %s says", p.Name, set, s.where(key))}, nil
	case differ:
		return "", []string{fmt.Sprintf("note: %s: taken as %s; the method %s shows %s", p.Name, p.Unit, opt.method, shows)}, nil
	}
	return "", nil, nil
}

// methodUnit is the unit a described method shows; "" where it is not described.
func methodUnit(v *logbook.View, p logbook.Parameter, method string) (string, error) {
	methods, err := v.Methods()
	for _, m := range methods {
		if m.Name == method && m.Parameter == p.Name {
			return m.Unit, err
		}
	}
	return "", err
}

// sameUnit reports whether two names mean the same unit of a parameter.
func sameUnit(p logbook.Parameter, a, b string) bool {
	ua, errA := p.FindUnit(a)
	ub, errB := p.FindUnit(b)
	return errA == nil && errB == nil && ua.Name() == ub.Name()
}

// judgedBy is how many of the latest readings a new one is compared with: enough to know the level and its slope, few
// enough to cost nothing.
const judgedBy = 20

// farFromExpected compares a new reading with what the latest ones before it predict for its time.
func farFromExpected(v *logbook.View, tank logbook.Tank, p logbook.Parameter, r logbook.Reading) (string, error) {
	band, err := alerts.BandOf(tank, p)
	if err != nil {
		return "", err
	}
	earlier, err := v.LastReadings(tank.Name, p.Name, r.Time, judgedBy)
	if err != nil || len(earlier) == 0 {
		return "", err
	}
	l := alerts.Line{Tank: tank, Parameter: p, Band: band, Readings: earlier}
	j, err := l.Judge(v, r)
	if err != nil {
		return "", err
	}
	if !j.Suspect {
		why, _ := logbook.UnlikelyLeap(p, earlier[len(earlier)-1], r)
		return why, nil
	}
	why := fmt.Sprintf("%s is far from what the earlier readings predict (%s to %s): ", readingText(r),
		alerts.Number(p, j.Expected.Lo), alerts.Quantity(p, j.Expected.Hi))
	if meant, ok := logbook.Meant(p, r, j.Expected.Lo/2, 2*j.Expected.Hi-j.Expected.Lo); ok {
		return why + "did you mean " + meant + "? Else test again before dosing", nil
	}
	return why + "test again before dosing", nil
}
