package form

import (
	"errors"
	"fmt"
	"slices"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

func newChoreDoneForm(e *part.Env, t logbook.Tank, name string) *Form {
	f := newForm(e, t, "chore done",
		&formField{label: "chore", initial: name, hint: "what was done", offers: choreNames, check: func(f *Form, text string) (string, error) {
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
	isNew := func(f *Form) bool { return !slices.Contains(f.Field("chore").choices, f.Value("chore")) }
	f.doubt = func(f *Form) (doubter, error) {
		if !isNew(f) {
			return nil, nil
		}
		return doubting(fmt.Sprintf("there is no chore %q yet: is it a new one, or another name of one you have?", f.Value("chore"))), nil
	}
	f.ready = func(f *Form) {
		if len(f.data.chores) == 0 {
			f.intro = "There is no chore yet. C sets up one that comes round again; what is named here becomes one without a rhythm."
		}
		if len(f.data.chores) > 0 && name == "" {
			f.set("chore", f.data.chores[0].Name)
		}
	}
	f.save = func(f *Form) (saver, error) {
		at, err := f.when()
		name := f.Value("chore")
		rs := []logbook.Record{logbook.ChoreDone{Time: at, Tank: t.Name, Chore: name, Note: f.Value("note")}}
		if isNew(f) {
			rs = append([]logbook.Record{logbook.Chore{Tank: t.Name, Name: name}}, rs...)
		}
		return f.adding(name+" done, in the book", rs...), err
	}
	return f
}

func choreNames(d Data) []string {
	return words.Of(d.chores, func(c logbook.Chore) string { return c.Name })
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
		return f.adding("chore in the book", logbook.Chore{Tank: t.Name, Name: f.Value("chore"), EveryDays: days}), err
	}
	return f
}
