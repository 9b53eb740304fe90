package tui

import (
	"errors"
	"fmt"
	"slices"

	"leadline/alerts/entry"
	"leadline/logbook"
)

func newChoreDoneForm(e *env, t logbook.Tank, name string) *form {
	f := newForm(e, t, "chore done",
		&formField{label: "chore", initial: name, hint: "what was done", check: func(f *form, text string) (string, error) {
			if text == "" {
				return "", errors.New("which chore?")
			}
			if _, ok := pick(text, f.field("chore").choices); !ok {
				return "a new one: C tells how often it comes round", nil
			}
			return "", nil
		}},
		whenField(), &formField{label: "note"})
	f.doubt = func(f *form) (doubter, error) {
		name := f.value("chore")
		known := slices.Contains(f.field("chore").choices, name)
		return func(*logbook.View) ([]string, error) {
			if known {
				return nil, nil
			}
			return []string{fmt.Sprintf("there is no chore %q yet: is it a new one, or another name of one you have?", name)}, nil
		}, nil
	}
	f.ready = func(f *form) {
		if len(f.data.chores) == 0 {
			f.intro = "There is no chore yet. C sets up one that comes round again; what is named here becomes one without a rhythm."
		}
		f.field("chore").choices = nil
		for _, c := range f.data.chores {
			f.field("chore").choices = append(f.field("chore").choices, c.Name)
		}
		if len(f.data.chores) > 0 && name == "" {
			f.set("chore", f.data.chores[0].Name)
		}
	}
	f.save = func(f *form) (saver, error) {
		at, err := f.when(f.value("when"))
		if err != nil {
			return nil, err
		}
		name := f.value("chore")
		rs := []logbook.Record{logbook.ChoreDone{Time: at, Tank: t.Name, Chore: name, Note: f.value("note")}}
		if !slices.Contains(f.field("chore").choices, name) {
			rs = append([]logbook.Record{logbook.Chore{Tank: t.Name, Name: name}}, rs...)
		}
		return adding(name+" done, in the book", rs...), nil
	}
	return f
}

func newChoreForm(e *env, t logbook.Tank, _ string) *form {
	f := newForm(e, t, "new chore",
		&formField{label: "chore", hint: "reactor media", check: needed("what is it called?")},
		&formField{label: "every", hint: "days; empty: to be learned", check: func(_ *form, text string) (string, error) {
			days, err := daysOf(text)
			if err != nil || text == "" {
				return "", err
			}
			return fmt.Sprintf("every %g days", days), nil
		}})
	f.save = func(f *form) (saver, error) {
		days, err := daysOf(f.value("every"))
		if err != nil {
			return nil, err
		}
		return adding("chore in the book", logbook.Chore{Tank: t.Name, Name: f.value("chore"), EveryDays: days}), nil
	}
	return f
}

// daysOf reads a number of days; nothing is 0.
func daysOf(text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	return entry.Days(text)
}
