package app

import (
	"cmp"
	"fmt"
	"time"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/cmd/internal/settings"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// TypedBy is what is said of a reading beside its value; "" where nothing is.
type TypedBy struct{ Unit, Method, Note string }

// NewReading makes a reading of an assignment, with a warning where its value is unlikely and a note where its unit
// can be meant in two ways.
func (a *App) NewReading(v *logbook.View, tank logbook.Tank, as Assignment, by TypedBy, when time.Time) (r logbook.Reading, said []string, err error) {
	p, err := a.Parameter(v, as.Parameter)
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
	set, where, err := a.UnitSet(v, p)
	if err != nil {
		return r, nil, err
	}
	t.By(by.Method, methods, set)
	_, typed := entry.Split(as.Text)
	if by.Unit != "" {
		t.Unit, t.From = by.Unit, entry.OwnUnit
	}
	if _, err := settings.FindUnit(p, cmp.Or(typed, t.Unit)); err != nil {
		return r, nil, fmt.Errorf("%s: %w", p.Name, err)
	}
	x, err := t.Read(as.Text)
	if err != nil {
		return r, nil, err
	}
	x.Tank, x.Time, x.Note = tank.Name, when, x.NoteWith(by.Note)
	note := func(format string, args ...any) {
		said = append(said, "note: "+p.Name+": "+fmt.Sprintf(format, args...))
	}
	if by := t.From.Words(t.Method, where); typed == "" && by != "" {
		note("taken as %s, as %s", t.Unit, by)
	}
	if x.Repeats != "" {
		note("%s, %s", x.Text, x.Repeats)
	}
	if near := usage.NearDescribed(by.Method, methodsOf(methods, p)); near != "" {
		note("the method %s is not described; did you mean %s?", by.Method, near)
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

// methodsOf names the described methods of a parameter.
func methodsOf(described []logbook.Method, p logbook.Parameter) (names []string) {
	for _, m := range described {
		if m.Parameter == p.Name {
			names = append(names, m.Name)
		}
	}
	return names
}
