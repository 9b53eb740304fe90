package form

import (
	"errors"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// Forms that answer something on another screen: a snooze, a strike, a correction.

// NewSnooze asks until when an alert is not to ask.
func NewSnooze(e *part.Env, t logbook.Tank, ack logbook.Acknowledgement) *Form {
	f := newForm(e, t, "snooze",
		&formField{label: "days", initial: "7", check: func(f *Form, text string) (string, error) {
			days, err := daysOf(text)
			if err != nil || days == 0 {
				return "", errors.New("for how many days?")
			}
			return "until " + words.Weekday(ack.Time.Add(part.Hours(24*days))), nil
		}}, &formField{label: "note"})
	f.intro = "Not to ask about " + words.Alert(ack) + " before then."
	f.read = func(f *Form) (typed, error) {
		days, err := daysOf(f.Value("days"))
		a := ack
		a.Until, a.Note = ack.Time.Add(part.Hours(24*days)), f.Value("note")
		return typed{save: f.adding("snoozed until "+words.Weekday(a.Until), a)}, err
	}
	return f
}

// strikeReasons are offered as choices; any other words will do.
func strikeReasons() []string {
	return []string{"typed wrong", "wrong unit", "wrong tank", "wrong parameter", "reagent expired", "sample was bad",
		"entered twice"}
}

// NewStrike asks why lines are struck.
func NewStrike(e *part.Env, w part.Lines) *Form {
	f := newForm(e, w.Tank, "strike", &formField{label: "why", hint: "in a few words", choices: strikeReasons(),
		check: needed("why is it struck?")})
	f.intro = "Strikes " + w.What + " of " + momentOf(w) + ". It stays readable; it no longer counts."
	f.read = func(f *Form) (typed, error) {
		all := words.Of(w.Entries, func(e logbook.Entry) logbook.Correction { return logbook.Correction{Old: e.EntryID()} })
		return typed{save: f.correcting("struck", func(*logbook.View) ([]logbook.Correction, []string, error) {
			return all, nil, nil
		})}, nil
	}
	return f
}

func momentOf(w part.Lines) string {
	at := func(e logbook.Entry) string { return e.When().In(w.Tank.Zone()).Format("2 Jan 2006 15:04") }
	first, last := at(w.Entries[0]), at(w.Entries[len(w.Entries)-1])
	if first != last {
		return first + " … " + last
	}
	return first
}

// correcting is a saver that strikes lines, and notes what stands in their places.
func (f *Form) correcting(said string, find func(*logbook.View) ([]logbook.Correction, []string, error)) saver {
	s := logbook.Strike{Time: f.now().Truncate(time.Second), Why: f.Value("why")}
	return func(b *logbook.Book) (tea.Msg, error) {
		all, err := logbook.Seen(b, func(v *logbook.View) ([]logbook.Correction, error) {
			all, _, err := find(v)
			return all, err
		})
		if err == nil {
			_, err = b.Correct(s, all...)
		}
		return f.done(words.Plural(len(all), "line", "lines") + " " + said), err
	}
}

// NewCorrection puts lines right: of one reading whatever was noted wrong, of a test day and of what is no reading the
// tank and the time.
func NewCorrection(e *part.Env, w part.Lines) *Form {
	tank := &formField{label: "tank", initial: w.Tank.Name, offers: tankNames, check: needed("which tank?")}
	when := &formField{label: whenLabel, hint: momentOf(w), check: func(f *Form, text string) (string, error) {
		return part.WhenText(func(text string, now time.Time) (time.Time, error) {
			return entry.Redate(text, w.Entries[0], f.tank.Zone(), now)
		}, text, f.now())
	}}
	why := &formField{label: "why", initial: "typed wrong", choices: strikeReasons(), check: needed("why?")}
	fields := []*formField{tank, when, why}
	old, is := w.Entries[0].(logbook.Reading)
	if is = is && len(w.Entries) == 1; is {
		value := &formField{label: "new value", hint: words.Typed(old), check: func(f *Form, text string) (string, error) {
			p, known := f.parameter()
			if text == "" || !known {
				return "a value, 33 or 33 ppb P, or what else was noted wrong below", nil
			}
			x, err := entry.Correction(p, old).ReadAgain(old, text)
			return x.Bound.Sign() + words.Quantity(p, x.Value) + words.With("; ", x.UnitNote), err
		}}
		method := &formField{label: "method", initial: old.Method, offers: func(d Data) []string {
			p, _ := logbook.FindParameter(d.Parameters, old.Parameter)
			return d.MethodNames(p)
		}}
		fields = []*formField{value, why, when, tank, parameterField(old.Parameter), method,
			{label: "note", initial: old.Note}}
	}
	f := newForm(e, w.Tank, "correct", fields...)
	f.intro = "Strikes " + w.What + " of " + momentOf(w) +
		" and writes what is right in its place. What is left as it is stays."
	if slices.ContainsFunc(w.Entries, func(e logbook.Entry) bool { return !e.When().Equal(w.Entries[0].When()) }) {
		f.intro += " A new time is that of this one; those of other moments move as far."
	}
	f.read = func(f *Form) (typed, error) {
		m := entry.Mending{Tank: f.changed("tank"), When: f.changed(whenLabel)}
		if is {
			m.Value, m.Parameter, m.Method, m.Note = f.changed("new value"), f.changed("parameter"), f.changed("method"),
				f.changed("note")
		}
		now := f.now()
		find := func(v *logbook.View) ([]logbook.Correction, []string, error) { return m.Lines(v, w.Entries, now) }
		return typed{save: f.correcting("corrected, what was noted is struck", find),
			asks: func(v *logbook.View) ([]string, error) {
				_, doubts, err := find(v)
				return doubts, err
			}}, nil
	}
	return f
}

func tankNames(d Data) []string {
	return words.Of(d.Tanks, func(t logbook.Tank) string { return t.Name })
}

// changed is what stands in a field that the keeper has changed; nil: it was left as it was.
func (f *Form) changed(label string) *string {
	text := f.Value(label)
	if text == f.Field(label).initial {
		return nil
	}
	return &text
}
