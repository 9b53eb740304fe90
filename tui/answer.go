package tui

import (
	"errors"
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/logbook"
)

// Forms that answer something on another screen: a snooze, a strike, a correction.

func newSnoozeForm(e *env, t logbook.Tank, ack logbook.Acknowledgement) *form {
	f := newForm(e, t, "snooze",
		&formField{label: "days", initial: "7", check: func(f *form, text string) (string, error) {
			days, err := daysOf(text)
			if err != nil || days == 0 {
				return "", errors.New("for how many days?")
			}
			return "until " + ack.Time.Add(hours(24*days)).Format("Mon 2 Jan"), nil
		}}, &formField{label: "note"})
	f.intro = "Not to ask about " + ruleText(ack) + " before then."
	var given logbook.ID
	said := ""
	f.save = func(f *form) (saver, error) {
		days, err := daysOf(f.value("days"))
		if err != nil {
			return nil, err
		}
		a := ack
		a.Until, a.Note = ack.Time.Add(hours(24*days)), f.value("note")
		said = "snoozed until " + a.Until.Format("Mon 2 Jan") + "; u takes this back"
		return func(b *logbook.Book) (string, error) {
			ids, err := b.Append(a)
			if err == nil {
				given = ids[0]
			}
			return said, err
		}, nil
	}
	f.then = func(*form) tea.Cmd {
		return func() tea.Msg { return answeredMsg{said, given, f} }
	}
	return f
}

// strikeReasons are offered as choices; any other words will do.
func strikeReasons() []string {
	return []string{"typed wrong", "wrong unit", "wrong tank", "wrong parameter", "reagent expired", "sample was bad", "entered twice"}
}

func newStrikeForm(e *env, t logbook.Tank, r record) *form {
	f := newForm(e, t, "strike", &formField{label: "why", hint: "in a few words", choices: strikeReasons(), check: needed("why is it struck?")})
	f.intro = "Strikes " + r.what + " of " + r.entry.When().In(t.Zone()).Format("2 Jan 2006 15:04") + ". The line stays readable; it no longer counts."
	f.save = func(f *form) (saver, error) {
		s := logbook.Strike{Target: r.entry.EntryID(), Time: e.moment().In(t.Zone()).Truncate(time.Second), Why: f.value("why")}
		return func(b *logbook.Book) (string, error) {
			_, err := b.Strike(s, nil)
			return "struck", err
		}, nil
	}
	return f
}

// doubtsOfReading asks of a corrected reading what a test day would have asked of it at its time.
func doubtsOfReading(e *env, v *logbook.View, t logbook.Tank, p logbook.Parameter, old logbook.Reading, text string) ([]string, error) {
	line, err := alerts.ExamineParameter(v, t, p, old.Time.Add(-time.Nanosecond), 0)
	if err != nil {
		return nil, err
	}
	x := &testField{line: line, input: newField(e, 10), unit: old.Unit, method: old.Method}
	x.input.SetValue(text)
	x.parse()
	if len(line.Readings) > 0 && x.read {
		r := x.reading
		r.Time, r.Tank = old.Time, t.Name
		if x.verdict, err = line.Judge(v, r); err != nil {
			return nil, err
		}
		x.judged, x.expected = x.text(), x.verdict.Expected
	}
	if why := x.question(); why != "" {
		return []string{why}, nil
	}
	return nil, nil
}

func newCorrectForm(e *env, t logbook.Tank, p logbook.Parameter, old logbook.Reading) *form {
	read := func(f *form) (logbook.Reading, error) {
		value, unit := splitUnit(f.value("new value"))
		if unit == "" {
			unit = old.Unit
		}
		r, err := logbook.ParseReading(p, value, unit)
		if err != nil {
			return r, errors.New(refusalText(err))
		}
		return r, nil
	}
	f := newForm(e, t, "correct",
		&formField{label: "new value", hint: "33, or 33 ppb P", check: func(f *form, text string) (string, error) {
			if text == "" {
				return "", errors.New("what should it be?")
			}
			r, err := read(f)
			if err != nil {
				return "", err
			}
			said := r.Bound.Sign() + alerts.Quantity(p, r.Value)
			if note, yes := logbook.UnitNote(p, r); yes {
				said += "; " + note
			}
			return said, nil
		}},
		&formField{label: "why", initial: "typed wrong", choices: strikeReasons(), check: needed("why?")})
	f.intro = fmt.Sprintf("Strikes %s %s of %s and writes a new line of the same moment in its place.", clean(old.Text), clean(old.Unit),
		old.Time.In(t.Zone()).Format("2 Jan 2006 15:04"))
	f.doubt = func(f *form) (doubter, error) {
		_, err := read(f)
		text := f.value("new value")
		return func(v *logbook.View) ([]string, error) { return doubtsOfReading(e, v, t, p, old, text) }, err
	}
	f.save = func(f *form) (saver, error) {
		r, err := read(f)
		if err != nil {
			return nil, err
		}
		r.Time, r.Tank, r.Method, r.Note = old.Time, old.Tank, old.Method, old.Note
		s := logbook.Strike{Target: old.ID, Time: e.moment().In(t.Zone()).Truncate(time.Second), Why: f.value("why")}
		return func(b *logbook.Book) (string, error) {
			_, err := b.Strike(s, r)
			return "corrected; the old line is struck", err
		}, nil
	}
	return f
}
