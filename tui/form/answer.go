package form

import (
	"errors"
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// Forms that answer something on another screen: a snooze, a strike, a correction.

func newSnoozeForm(e *part.Env, t logbook.Tank, ack logbook.Acknowledgement) *Form {
	f := newForm(e, t, "snooze",
		&formField{label: "days", initial: "7", check: func(f *Form, text string) (string, error) {
			days, err := daysOf(text)
			if err != nil || days == 0 {
				return "", errors.New("for how many days?")
			}
			return "until " + words.Weekday(ack.Time.Add(part.Hours(24*days))), nil
		}}, &formField{label: "note"})
	f.intro = "Not to ask about " + words.Alert(ack) + " before then."
	f.save = func(f *Form) (saver, error) {
		days, err := daysOf(f.Value("days"))
		a := ack
		a.Until, a.Note = ack.Time.Add(part.Hours(24*days)), f.Value("note")
		return func(b *logbook.Book) (tea.Msg, error) {
			ids, err := b.Append(a)
			if err != nil {
				return nil, err
			}
			return part.AnsweredMsg{Notice: "snoozed until " + words.Weekday(a.Until) + "; u takes this back", Given: ids[0], Screen: f}, nil
		}, err
	}
	return f
}

// strikeReasons are offered as choices; any other words will do.
func strikeReasons() []string {
	return []string{"typed wrong", "wrong unit", "wrong tank", "wrong parameter", "reagent expired", "sample was bad", "entered twice"}
}

func newStrikeForm(e *part.Env, w part.StrikeOf) *Form {
	t := w.Tank
	f := newForm(e, t, "strike", &formField{label: "why", hint: "in a few words", choices: strikeReasons(), check: needed("why is it struck?")})
	f.intro = "Strikes " + w.What + " of " + w.Entry.When().In(t.Zone()).Format("2 Jan 2006 15:04") + ". The line stays readable; it no longer counts."
	f.save = func(f *Form) (saver, error) { return f.striking("struck", w.Entry.EntryID(), nil), nil }
	return f
}

// striking is a saver that strikes an entry; its successor stands in its place, where there is one.
func (f *Form) striking(said string, struck logbook.ID, successor logbook.Entry) saver {
	s := logbook.Strike{Target: struck, Time: f.now().Truncate(time.Second), Why: f.Value("why")}
	return func(b *logbook.Book) (tea.Msg, error) {
		_, err := b.Strike(s, successor)
		return f.done(said), err
	}
}

func newCorrectForm(e *part.Env, t logbook.Tank, p logbook.Parameter, old logbook.Reading) *Form {
	test := entry.Correction(p, old)
	f := newForm(e, t, "correct",
		&formField{label: "new value", hint: "33, or 33 ppb P", check: func(_ *Form, text string) (string, error) {
			if text == "" {
				return "", errors.New("what should it be?")
			}
			x, err := test.ReadAgain(old, text)
			if err != nil {
				return "", errors.New(part.RefusalText(err))
			}
			said := x.Bound.Sign() + words.Quantity(p, x.Value)
			if x.UnitNote != "" {
				said += "; " + x.UnitNote
			}
			return said, nil
		}},
		&formField{label: "why", initial: "typed wrong", choices: strikeReasons(), check: needed("why?")})
	f.intro = fmt.Sprintf("Strikes %s %s of %s and writes a new line of the same moment in its place.", part.Clean(old.Text), part.Clean(old.Unit),
		old.Time.In(t.Zone()).Format("2 Jan 2006 15:04"))
	f.doubt = func(f *Form) (doubter, error) {
		text := f.Value("new value")
		return func(v *logbook.View) ([]string, error) {
			_, why, err := test.Correct(v, t, old, text)
			return told(why), err
		}, nil
	}
	f.save = func(f *Form) (saver, error) {
		x, err := test.ReadAgain(old, f.Value("new value"))
		return f.striking("corrected; the old line is struck", old.ID, x.Reading), err
	}
	return f
}
