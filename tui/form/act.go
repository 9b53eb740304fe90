package form

import (
	"cmp"
	"errors"
	"fmt"
	"strings"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/tui/part"
)

// The quick entries: what was done to a tank. Each is a form whose cursor starts where there is something to type.

// NewDose is the form of one addition.
func NewDose(e *part.Env, t logbook.Tank, parameter string) *Form {
	return newAdditionForm(e, t, "one dose", "A one-off addition, as the rise it makes in the whole tank's water.",
		parameter, "rise", false)
}

// NewDosing is the form of what is dosed from now on.
func NewDosing(e *part.Env, t logbook.Tank, parameter string) *Form {
	const intro = "A standing daily amount, as the rise per day in the whole tank's water. It holds until the next one; " +
		"0 stops it."
	return newAdditionForm(e, t, "daily dosing", intro, parameter, "per day", true)
}

// newAdditionForm is the form of a dose or of a dosing, whose amount stands in the field label.
func newAdditionForm(e *part.Env, t logbook.Tank, title, intro, parameter, label string, daily bool) *Form {
	f := newForm(e, t, title,
		parameterField(parameter),
		&formField{label: label, hint: "0.5, or 20 mL", check: func(f *Form, text string) (string, error) {
			return f.checkRise(label, daily)
		}},
		unitField(""),
		&formField{label: "supplement", hint: "what was added", check: checkSupplement, offers: func(d Data) []string {
			return d.Offered
		}},
		whenField(), &formField{label: "note"})
	f.intro, f.ready = intro, fillAmounts
	if daily {
		f.reads = entry.Begin // it may begin in time to come
	}
	f.StartAt(label)
	f.describe = describeSupplement
	f.read = func(f *Form) (typed, error) {
		at, err := f.when()
		a := entry.Addition{Daily: daily, Time: at, Supplement: f.Value("supplement"), Note: f.Value("note")}
		rises, err2 := f.rises(label, a)
		said := "dose of " + risesText(rises) + " in the book"
		if daily {
			said = "dosing of " + risesText(rises) + " a day in the book"
		}
		entries := f.data.Entries(a, f.Value(label), rises)
		return typed{
			save:     f.adding(said, words.Of(entries, func(e logbook.Entry) logbook.Record { return e })...),
			doubts:   []string{entry.Later(at, f.now())},
			asks:     func(v *logbook.View) ([]string, error) { return entry.DoubtRises(v, entries) },
			cautions: f.data.BewareDose(a.Supplement, rises),
		}, cmp.Or(err, err2)
	}
	return f
}

func checkSupplement(f *Form, text string) (string, error) {
	s, ok := f.data.Supplement(f.Value("supplement"))
	p, named := f.parameter()
	switch {
	case text == "" || !f.known:
		return "", nil
	case !ok:
		return "not described: " + describeKey + " describes it, for volumes", nil
	case named:
		if strength, err := s.Strength(p); err != nil || !(strength > 0) {
			return s.Name + ", as it is described, does not raise " + p.Name, nil
		}
	}
	if strings.EqualFold(s.Name, text) {
		return "", nil
	}
	return s.Name, nil
}

func describeSupplement(f *Form) part.Want {
	return part.OfTank(NewSupplement, f.tank, f.Value("supplement"))
}

func fillAmounts(f *Form) {
	if p, ok := f.parameter(); ok {
		if name, _ := f.data.InUse(p); name != "" {
			f.set("supplement", name)
		}
	}
	if f.Value("parameter") == "" && len(f.data.Measured) > 0 {
		f.set("parameter", f.data.Measured[0])
	}
	f.hintUnit()
}

// NewWaterChange is the form of a water change.
func NewWaterChange(e *part.Env, t logbook.Tank, _ string) *Form {
	f := newForm(e, t, "water change",
		&formField{label: "how much", hint: "15%, or 60 L", check: func(f *Form, text string) (string, error) {
			share, _, err := entry.Share(text, t, "")
			litres := ""
			if t.VolumeL > 0 {
				litres = ", " + words.Litres(share*t.VolumeL)
			}
			return fmt.Sprintf("%.3g %% of the water%s", share*100, litres), err
		}},
		&formField{label: "new water", hint: "alk=8.3 ca=420, if known", check: func(f *Form, text string) (string, error) {
			_, _, err := f.levels(text)
			return "", err
		}},
		whenField(), &formField{label: "note"})
	f.read = func(f *Form) (typed, error) {
		share, doubt, err1 := entry.Share(f.Value("how much"), t, "")
		levels, doubts, err2 := f.levels(f.Value("new water"))
		at, err3 := f.when()
		return typed{
			save: f.adding(fmt.Sprintf("water change of %.3g %% in the book", share*100),
				logbook.WaterChange{Time: at, Tank: t.Name, Fraction: share, New: levels, Note: f.Value("note")}),
			doubts: append(doubts, doubt),
		}, cmp.Or(err1, err2, err3)
	}
	return f
}

// levels reads the known levels of the new water, and says which of them are unlikely.
func (f *Form) levels(text string) (out map[string]logbook.Amount, doubts []string, err error) {
	err = f.each(text, func(p logbook.Parameter, value string) error {
		level, doubt, err := entry.Level(p, value)
		if out == nil {
			out = map[string]logbook.Amount{}
		}
		out[p.Name] = level
		doubts = append(doubts, doubt)
		return err
	})
	return out, doubts, err
}

// NewEvent is the form of what was seen or done.
func NewEvent(e *part.Env, t logbook.Tank, _ string) *Form {
	f := newForm(e, t, "event",
		&formField{label: "what", hint: "what was seen or done", check: needed("what was seen or done?")},
		&formField{label: "of", hint: "which animal or thing"},
		&formField{label: "tags", hint: "words to find it by"},
		whenField())
	f.read = func(f *Form) (typed, error) {
		at, err := f.when()
		tags := strings.FieldsFunc(f.Value("tags"), func(r rune) bool { return r == ',' || r == ' ' })
		e := logbook.Event{Time: at, Tank: t.Name, Tags: tags, Subject: f.Value("of"), Text: f.Value("what")}
		return typed{save: f.adding("event in the book", e), cautions: water.WorkCautions(e.Text + " " + e.Subject)}, err
	}
	return f
}

func (f *Form) rises(label string, a entry.Addition) ([]entry.Rise, error) {
	var named *logbook.Parameter
	if p, ok := f.parameter(); ok {
		named = &p
	}
	rises, err := f.data.Read(a, named, f.Value(label), f.Value("unit"))
	if errors.Is(err, entry.ErrUndescribed) {
		return nil, fmt.Errorf("%w: %s describes it, or give the rise", err, describeKey)
	}
	return rises, err
}

// checkRise says what an amount comes to, and what it takes of the supplement.
func (f *Form) checkRise(label string, daily bool) (string, error) {
	a := entry.Addition{Daily: daily, Supplement: f.Value("supplement")}
	rises, err := f.rises(label, a)
	if err != nil {
		return "", err
	}
	if rises[0].Amount == 0 {
		return "stops it", nil
	}
	var said []string
	for _, r := range rises {
		by, err := r.Parameter.CanonicalChange(r.Amount, r.Unit)
		if err != nil {
			return "", err
		}
		text := "+" + words.Rise(r.Parameter, by)
		if len(rises) > 1 {
			text = r.Parameter.Name + " " + text
		}
		said = append(said, text)
		if takes := f.data.Takes(r, a.Supplement); takes != "" && len(rises) == 1 {
			said = append(said, "takes "+takes)
		}
	}
	return strings.Join(said, ", "), nil
}

func risesText(rs []entry.Rise) string {
	return words.List(rs, func(r entry.Rise) string { return words.Amount(r.Amount, r.Unit) + " " + r.Parameter.Name })
}
