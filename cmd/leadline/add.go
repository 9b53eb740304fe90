package main

import (
	"cmp"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/logbook"
)

type addOptions struct {
	unit, at, method, note string
	yes                    bool
}

func newAdd(a *app) *cobra.Command {
	var opt addOptions
	cmd := a.prints([]readingJSON{}, &cobra.Command{
		Use:   "add PARAMETER=VALUE...",
		Short: "note down readings; they are on disk when it returns",
		Long: `Note down readings of one test day. Parameters go by name or code, values may be "<0.02" or ">50",
and a unit may follow the number. Several results of one test, as in calcium='420 430', are kept as their mean. Either all of
them are kept or none is.

A bare number is in the unit that --unit names, else in that of the method, else in that of your settings (leadline config),
else in that of nearly all of the last readings, else in the parameter's own; where it is not the parameter's own, the answer
says why.

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
	})
	f := cmd.Flags()
	f.StringVar(&opt.unit, "unit", "", "`UNIT` of the values that have none behind them (else that of the method, your settings, the last readings)")
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
			r, said, err := a.newReading(v, tank, as, typedBy{unit: opt.unit, method: opt.method, note: opt.note}, when)
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

// typedBy is what is said of a reading beside its value; "" where nothing is.
type typedBy struct{ unit, method, note string }

// newReading makes a reading of an assignment, with a warning where its value is unlikely and a note where its unit
// can be meant in two ways.
func (a *app) newReading(v *logbook.View, tank logbook.Tank, as assignment, by typedBy, when time.Time) (r logbook.Reading, said []string, err error) {
	p, err := a.parameter(v, as.parameter)
	if err != nil {
		return r, nil, err
	}
	methods, err := v.Methods()
	if err != nil {
		return r, nil, err
	}
	var t entry.Test
	if t.Line, err = alerts.LineBefore(v, tank, p, when); err != nil {
		return r, nil, err
	}
	set, where, err := a.unitSet(v, p)
	if err != nil {
		return r, nil, err
	}
	t.By(by.method, methods, set)
	_, typed := entry.Split(as.text)
	if by.unit != "" {
		t.Unit, t.From = by.unit, entry.OwnUnit
	}
	if _, err := findUnit(p, cmp.Or(typed, t.Unit)); err != nil {
		return r, nil, fmt.Errorf("%s: %w", p.Name, err)
	}
	x, err := t.Read(as.text)
	if err != nil {
		return r, nil, err
	}
	x.Tank, x.Time, x.Note = tank.Name, when, x.NoteWith(by.note)
	note := func(format string, args ...any) {
		said = append(said, "note: "+p.Name+": "+fmt.Sprintf(format, args...))
	}
	if by := t.From.Words(t.Method, where); typed == "" && by != "" {
		note("taken as %s, as %s", t.Unit, by)
	}
	if x.Repeats != "" {
		note("%s, %s", x.Text, x.Repeats)
	}
	if near := nearDescribed(by.method, methodsOf(methods, p)); near != "" {
		note("the method %s is not described; did you mean %s?", by.method, near)
	}
	twice, err := thereAlready(v, x.Reading)
	if err != nil {
		return r, nil, err
	}
	if twice != "" {
		note("%s", twice)
	}
	if x.UnitNote != "" {
		note("%s", x.UnitNote)
	}
	why, _, err := t.Judge(v, x)
	if why != "" {
		said = append(said, "warning: "+p.Name+": "+why)
	}
	return x.Reading, said, err
}

// thereAlready says that the very reading is in the book: a command that was run again. It is kept all the same, for
// two tests of one water may show one number.
func thereAlready(v *logbook.View, r logbook.Reading) (string, error) {
	same, err := v.Readings(r.Tank, r.Parameter, r.Time, r.Time.Add(time.Nanosecond))
	for _, old := range same {
		if old.Time.Equal(r.Time) && old.Value == r.Value && old.Bound == r.Bound && old.Method == r.Method {
			return fmt.Sprintf("the same reading is there already: %s; leadline strike takes one of them back", old.ID), err
		}
	}
	return "", err
}

// unitSet is the unit that the settings give bare numbers of a parameter, and where they do; "" where they give none.
func (a *app) unitSet(v *logbook.View, p logbook.Parameter) (unit, where string, err error) {
	s, err := a.settings()
	if err != nil {
		return "", "", err
	}
	all, err := v.Parameters()
	if err == nil {
		err = s.check(all)
	}
	unit, key := s.unitOf(p)
	return unit, s.where(key), err
}
