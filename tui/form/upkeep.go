package form

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/tui/part"
)

// NewRefill asks how much of a stock there is.
func NewRefill(e *part.Env, t logbook.Tank, s logbook.Stock) *Form {
	there := func(text string) (float64, error) { return entry.There(s, text) }
	f := newForm(e, t, "refilled",
		&formField{label: "there now", hint: "how much, in " + s.Unit, check: readable(there)},
		&formField{label: "expires", hint: "2027-03-31 or 2027-03, if it expires",
			check: func(_ *Form, text string) (string, error) {
				return entry.Expiry(text)
			}},
		whenField(), &formField{label: "note"})
	f.intro = "How much of " + part.Clean(s.Name) + " there is, after filling up or when looked at."
	f.read = func(f *Form) (typed, error) {
		v, err1 := there(f.Value("there now"))
		expires, err2 := entry.Expiry(f.Value("expires"))
		at, err3 := f.when()
		of, _ := f.data.Supplement(s.Supplement)
		r := logbook.Refill{Time: at, Tank: t.Name, Stock: s.Name, Amount: v, Expires: expires, Note: f.Value("note")}
		return typed{
			save:     f.adding(part.Clean(s.Name)+": in the book", r),
			asks:     func(v *logbook.View) ([]string, error) { return entry.DoubtRefill(v, r) },
			cautions: alerts.BewareRefill(of, f.data.Supplements),
		}, cmp.Or(err1, err2, err3)
	}
	return f
}

// NewStock sets up something that is used up: by the dosing of a supplement, by the tests of a parameter, or by so
// much a day.
func NewStock(e *part.Env, t logbook.Tank, _ string) *Form {
	f := newForm(e, t, "new stock",
		&formField{label: "name", hint: "dosing reservoir", check: needed("what is it called?")},
		&formField{label: "unit", hint: "mL for a supplement, tests for a parameter"},
		&formField{label: "supplement", hint: "used up by dosing it", offers: func(d Data) []string { return d.Offered }},
		&formField{label: "parameter", hint: "or: used up by testing it", offers: parameterNames, may: true,
			check: checkParameter},
		&formField{label: "also for", hint: "other tanks that it serves, with commas"},
		&formField{label: "per day", hint: "or: so much a day", check: readable(perDay)},
		&formField{label: "there now", hint: "so many of the unit"})
	f.read = func(f *Form) (typed, error) {
		s, err := f.newStock()
		if err != nil {
			return typed{}, err
		}
		text := f.Value("there now")
		if text == "" {
			return typed{save: f.adding(part.Clean(s.Name)+": enter tells how much there is", s)}, nil
		}
		v, err := entry.There(s, text)
		return typed{save: f.adding(part.Clean(s.Name)+" in the book", s,
			logbook.Refill{Time: f.now().Truncate(time.Second), Tank: t.Name, Stock: s.Name, Amount: v})}, err
	}
	return f
}

func (f *Form) newStock() (s logbook.Stock, err error) {
	s = logbook.Stock{Tank: f.tank.Name, Name: f.Value("name"), Unit: f.Value("unit"), Supplement: f.Value("supplement"),
		Shared: namesIn(f.Value("also for"))}
	given := slices.DeleteFunc([]string{s.Supplement, f.Value("parameter"), f.Value("per day")}, func(text string) bool {
		return text == ""
	})
	if len(given) != 1 {
		return s, errors.New("give one of supplement, parameter and per day: what uses it up?")
	}
	p, _ := f.parameter()
	s.Parameter = p.Name
	if s.PerDay, err = perDay(f.Value("per day")); err != nil {
		return s, err
	}
	return entry.Stock(s)
}

// perDay reads how much is used a day; nothing is 0.
func perDay(text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	return entry.Number(text)
}

func namesIn(text string) []string {
	return words.Those(words.Of(strings.Split(text, ","), strings.TrimSpace), func(name string) bool { return name != "" })
}

// NewChoreDone is the form of a chore that was done.
func NewChoreDone(e *part.Env, t logbook.Tank, name string) *Form {
	f := newForm(e, t, "chore done",
		&formField{label: "chore", initial: name, hint: "what was done", offers: func(d Data) []string {
			return words.Of(d.chores, func(c logbook.Chore) string { return c.Name })
		},
			check: func(f *Form, text string) (string, error) {
				if text == "" {
					return "", errors.New("which chore?")
				}
				if _, ok := pick(text, f.Field("chore").choices); !ok {
					return "a new one: C tells how often it comes round", nil
				}
				return "", nil
			}},
		whenField(), &formField{label: "note"})
	f.ready = func(f *Form) {
		if len(f.data.chores) == 0 {
			f.intro = "There is no chore yet. C sets up one that comes round again; what is named here becomes one without a " +
				"rhythm."
		}
		if len(f.data.chores) > 0 && name == "" {
			f.set("chore", f.data.chores[0].Name)
		}
	}
	f.read = func(f *Form) (typed, error) {
		at, err := f.when()
		name := f.Value("chore")
		x := typed{cautions: water.WorkCautions(name)}
		rs := []logbook.Record{logbook.ChoreDone{Time: at, Tank: t.Name, Chore: name, Note: f.Value("note")}}
		if !slices.Contains(f.Field("chore").choices, name) {
			rs = append([]logbook.Record{logbook.Chore{Tank: t.Name, Name: name}}, rs...)
			x.doubts = append(x.doubts,
				fmt.Sprintf("there is no chore %q yet: is it a new one, or another name of one you have?", name))
		}
		x.save = f.adding(name+" done, in the book", rs...)
		return x, err
	}
	return f
}

// NewChore sets up a chore.
func NewChore(e *part.Env, t logbook.Tank, _ string) *Form {
	f := newForm(e, t, "new chore",
		&formField{label: "chore", hint: "reactor media", check: needed("what is it called?")},
		&formField{label: "every", hint: "days; empty: to be learned", may: true,
			check: func(_ *Form, text string) (string, error) {
				days, err := entry.Days(text)
				return fmt.Sprintf("every %g days", days), err
			}})
	f.read = func(f *Form) (typed, error) {
		days, err := daysOf(f.Value("every"))
		c := logbook.Chore{Tank: t.Name, Name: f.Value("chore"), EveryDays: days}
		return typed{save: f.adding("chore in the book", c), cautions: water.WorkCautions(c.Name)}, err
	}
	return f
}
