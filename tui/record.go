package tui

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

// record is one line of the book as lists show it.
type record struct {
	entry  logbook.Entry
	what   string // in words
	note   string
	struck bool
	why    string
}

// newRecord puts an entry into words. p is the parameter of a reading, a dose or a dosing.
func newRecord(e logbook.Entry, parameterOf func(string) logbook.Parameter) record {
	r := record{entry: e}
	switch e := e.(type) {
	case logbook.Reading:
		r.what = readText(parameterOf(e.Parameter), e)
		if e.Method != "" {
			r.what += " by " + clean(e.Method)
		}
		r.note = e.Note
	case logbook.Dosing:
		r.what = "dosing " + alerts.RiseText(e.PerDay, e.Unit) + " a day"
		if e.PerDay == 0 {
			r.what = "dosing stopped"
		}
		r.what += with(" of ", e.Supplement)
		r.note = e.Note
	case logbook.Dose:
		r.what = "dose of " + alerts.RiseText(e.Amount, e.Unit) + with(", ", e.Supplement)
		r.note = e.Note
	case logbook.WaterChange:
		r.what = fmt.Sprintf("water change of %.3g %%", e.Fraction*100)
		r.note = e.Note
	case logbook.Event:
		r.what = clean(e.Text)
		if e.Subject != "" {
			r.what = clean(e.Subject) + ": " + r.what
		}
		if len(e.Tags) > 0 {
			r.what += " (" + clean(strings.Join(e.Tags, ", ")) + ")"
		}
	case logbook.ChoreDone:
		r.what = clean(e.Chore) + " done"
		r.note = e.Note
	case logbook.Refill:
		r.what = refillText(e, "")
		r.note = e.Note
	case logbook.Acknowledgement:
		r.what = "seen: " + ruleText(e)
		if !e.Until.IsZero() {
			r.what = "snoozed until " + e.Until.Format("2 Jan") + ": " + ruleText(e)
		}
		r.note = e.Note
	default:
		r.what = string(e.Kind())
	}
	return r
}

func refillText(e logbook.Refill, unit string) string {
	return fmt.Sprintf("%s: %g", clean(e.Stock), e.Amount) + with(" ", unit) + " there" + with(", good until ", e.Expires)
}

// inUnits puts the unit of its stock behind every count of one.
func inUnits(rows []record, v *logbook.View, tank string) error {
	stocks, err := v.Stocks(tank)
	if err != nil {
		return err
	}
	for i := range rows {
		e, is := rows[i].entry.(logbook.Refill)
		if !is {
			continue
		}
		for _, s := range stocks {
			if s.Name == e.Stock {
				rows[i].what = refillText(e, s.Unit)
			}
		}
	}
	return nil
}

func with(lead, text string) string {
	if text == "" {
		return ""
	}
	return lead + clean(text)
}

// row draws a record in one row. A struck one says so in a word and says why.
func (r record) row(chosen bool, w int, zone *time.Location, t *theme) string {
	lead := "  "
	if chosen {
		lead = t.Accent.Render(t.Signs.Chosen) + " "
	}
	when := r.entry.When().In(zone).Format("_2 Jan 2006 15:04")
	if w < 60 {
		when = r.entry.When().In(zone).Format("_2 Jan 2006")
	}
	text := r.words()
	style := t.Plain
	switch {
	case r.struck:
		style = t.Dim
	case chosen:
		style = t.Accent
	}
	row := lead + t.Dim.Render(when) + "  " + style.Render(text)
	if r.note != "" {
		row += t.Dim.Render("  " + clean(r.note))
	}
	return cut(row, w)
}

// records draws the rows of a list that holds lines of the book.
func (l *list) records(rows []record, row, room, w int, zone *time.Location, t *theme) []string {
	return l.draw(row, len(rows), room, func(i int) string { return rows[i].row(i == l.at, w, zone, t) })
}

// words say what the line is and, of a struck one, why it was struck.
func (r record) words() string {
	if r.struck {
		return "struck: " + r.what + with(", because ", r.why)
	}
	return r.what
}

// whole is the line in as many rows as it takes, where one row is too narrow for it, and nothing otherwise.
func (r record) whole(w int, t *theme) []string {
	before := 21 // the sign of the chosen line, and the moment
	if w < 60 {
		before = 15
	}
	text := strings.TrimSpace(r.words() + "  " + clean(r.note))
	if before+width(text) <= w {
		return nil
	}
	return append([]string{t.Dim.Render(strings.Repeat(t.Signs.Rule, w))}, wrap(text, w, 4)...)
}

// doneKinds are the kinds of entries that say what was done or seen.
func doneKinds() []logbook.Kind {
	return []logbook.Kind{logbook.KindDosing, logbook.KindDose, logbook.KindWaterChange, logbook.KindEvent, logbook.KindChoreDone, logbook.KindRefill}
}

// recordsOf lists what was measured of a parameter and done to its tank in a stretch of time, the newest first, struck
// lines in their place.
func recordsOf(v *logbook.View, tank string, p logbook.Parameter, from, to time.Time, readings []logbook.Reading) ([]record, error) {
	one := func(string) logbook.Parameter { return p }
	var out []record
	for _, r := range readings {
		if !r.Time.Before(from) {
			out = append(out, newRecord(r, one))
		}
	}
	for _, kind := range doneKinds() {
		es, err := v.Entries(tank, kind, from, to)
		if err != nil {
			return nil, err
		}
		for _, e := range es {
			if concerns(e, p.Name) {
				out = append(out, newRecord(e, one))
			}
		}
	}
	struck, err := v.Struck(tank)
	if err != nil {
		return nil, err
	}
	for _, s := range struck {
		if at := s.Entry.When(); at.Before(from) || at.After(to) || !concerns(s.Entry, p.Name) {
			continue
		}
		r := newRecord(s.Entry, one)
		r.struck, r.why = true, s.Strike.Why
		out = append(out, r)
	}
	newestFirst(out)
	return out, inUnits(out, v, tank)
}

func newestFirst(rs []record) {
	slices.SortStableFunc(rs, func(a, b record) int { return b.entry.When().Compare(a.entry.When()) })
}

// concerns reports whether an entry has to do with a parameter: it is about it, or about the whole tank.
func concerns(e logbook.Entry, parameter string) bool {
	switch e := e.(type) {
	case logbook.Reading:
		return e.Parameter == parameter
	case logbook.Dosing:
		return e.Parameter == parameter
	case logbook.Dose:
		return e.Parameter == parameter
	case logbook.Acknowledgement:
		return e.Parameter == parameter
	default:
		return true
	}
}
