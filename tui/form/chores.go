package form

import (
	"errors"
	"fmt"
	"slices"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/logbook"
	"leadline/tui/part"
)

func newChoreDoneForm(e *part.Env, t logbook.Tank, name string) *Form {
	f := newForm(e, t, "chore done",
		&formField{label: "chore", initial: name, hint: "what was done", check: func(f *Form, text string) (string, error) {
			if text == "" {
				return "", errors.New("which chore?")
			}
			if _, ok := pick(text, f.Field("chore").choices); !ok {
				return "a new one: C tells how often it comes round", nil
			}
			return "", nil
		}},
		whenField(), &formField{label: "note"})
	f.Cautions = func(f *Form) []string { return alerts.BewareWork(f.Value("chore")) }
	f.doubt = func(f *Form) (doubter, error) {
		name := f.Value("chore")
		known := slices.Contains(f.Field("chore").choices, name)
		return func(*logbook.View) ([]string, error) {
			if known {
				return nil, nil
			}
			return []string{fmt.Sprintf("there is no chore %q yet: is it a new one, or another name of one you have?", name)}, nil
		}, nil
	}
	f.ready = func(f *Form) {
		if len(f.data.chores) == 0 {
			f.intro = "There is no chore yet. C sets up one that comes round again; what is named here becomes one without a rhythm."
		}
		f.Field("chore").choices = nil
		for _, c := range f.data.chores {
			f.Field("chore").choices = append(f.Field("chore").choices, c.Name)
		}
		if len(f.data.chores) > 0 && name == "" {
			f.set("chore", f.data.chores[0].Name)
		}
	}
	f.save = func(f *Form) (saver, error) {
		at, err := f.when(f.Value("when"))
		if err != nil {
			return nil, err
		}
		name := f.Value("chore")
		rs := []logbook.Record{logbook.ChoreDone{Time: at, Tank: t.Name, Chore: name, Note: f.Value("note")}}
		if !slices.Contains(f.Field("chore").choices, name) {
			rs = append([]logbook.Record{logbook.Chore{Tank: t.Name, Name: name}}, rs...)
		}
		return adding(name+" done, in the book", rs...), nil
	}
	return f
}

func newChoreForm(e *part.Env, t logbook.Tank, _ string) *Form {
	f := newForm(e, t, "new chore",
		&formField{label: "chore", hint: "reactor media", check: needed("what is it called?")},
		&formField{label: "every", hint: "days; empty: to be learned", check: func(_ *Form, text string) (string, error) {
			days, err := daysOf(text)
			if err != nil || text == "" {
				return "", err
			}
			return fmt.Sprintf("every %g days", days), nil
		}})
	f.Cautions = func(f *Form) []string { return alerts.BewareWork(f.Value("chore")) }
	f.save = func(f *Form) (saver, error) {
		days, err := daysOf(f.Value("every"))
		if err != nil {
			return nil, err
		}
		return adding("chore in the book", logbook.Chore{Tank: t.Name, Name: f.Value("chore"), EveryDays: days}), nil
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
