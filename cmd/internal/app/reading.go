package app

import (
	"cmp"
	"fmt"
	"time"

	"leadline/alerts/entry"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// TypedBy is what is said of a reading beside its value; "" where nothing is.
type TypedBy struct{ Unit, Method, Note, Who string }

// NewReading makes a reading of what was typed for a parameter, with what is to be said about it: a warning where its
// value is unlikely, a note where its unit can be meant in two ways.
func (a *App) NewReading(c entry.Context, p logbook.Parameter, text string, by TypedBy, when time.Time) (r logbook.Reading, about []string, err error) {
	set, err := a.Settings()
	if err == nil {
		err = a.CheckUnits(c.Parameters)
	}
	if err != nil {
		return r, nil, err
	}
	if err := c.CheckMethod(p, by.Method); err != nil {
		return r, nil, usage.Mistyped(err)
	}
	t := c.TestNow(p)
	t.By(by.Method)
	_, typed := logbook.Split(text)
	if by.Unit != "" {
		t.Unit, t.From = by.Unit, entry.OwnUnit
	}
	if _, err := p.FindUnit(cmp.Or(typed, t.Unit)); err != nil {
		return r, nil, usage.Mistyped(fmt.Errorf("%s: %w", p.Name, err))
	}
	x, err := t.Read(text)
	if err != nil {
		return r, nil, err
	}
	x.Tank, x.Time, x.Note, x.Who = c.Tank.Name, when, x.NoteWith(by.Note), cmp.Or(by.Who, set.Who)
	note := func(format string, args ...any) {
		about = append(about, "note: "+p.Name+": "+fmt.Sprintf(format, args...))
	}
	if by := t.From.Words(t.Method, set.WhereUnit(p)); typed == "" && by != "" {
		note("taken as %s, as %s", t.Unit, by)
	}
	if x.Repeats != "" {
		note("%s, %s", x.Text, x.Repeats)
	}
	if near := usage.NearDescribed(by.Method, c.MethodNames(p)); near != "" {
		note("the method %s is not described; did you mean %s?", by.Method, near)
	}
	if x.UnitNote != "" {
		note("%s", x.UnitNote)
	}
	why, _, err := t.Judge(x)
	if why != "" {
		about = append(about, "warning: "+p.Name+": "+why)
	}
	if why, same := entry.Twice(x.Reading, c.There(p)); why != "" {
		about = append(about, fmt.Sprintf("warning: %s: %s leadline strike %s takes it back", p.Name, why, same))
	}
	return x.Reading, about, err
}
