package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"leadline/alerts/entry"
	"leadline/logbook"
)

// The quick entries: what was done to a tank. Each is a form whose cursor starts where there is something to type.

func newDoseForm(e *env, t logbook.Tank, parameter string) *form {
	f := newAdditionForm(e, t, "one dose", parameter, "rise", false)
	f.intro = "A one-off addition, as the rise it makes in the whole tank's water."
	return f
}

func newDosingForm(e *env, t logbook.Tank, parameter string) *form {
	f := newAdditionForm(e, t, "daily dosing", parameter, "per day", true)
	f.intro = "A standing daily amount, as the rise per day in the whole tank's water. It holds until the next one; 0 stops it."
	return f
}

// newAdditionForm is the form of a dose or of a dosing, whose amount stands in the field label.
func newAdditionForm(e *env, t logbook.Tank, title, parameter, label string, daily bool) *form {
	f := newForm(e, t, title, append(amountFields(parameter, label, daily), whenField(), &formField{label: "note"})...)
	f.ready = fillAmounts
	f.startAt(label)
	f.describe = describeSupplement
	read := func(f *form) (a entry.Addition, rises []entry.Rise, err error) {
		a = entry.Addition{Daily: daily, Supplement: f.value("supplement"), Note: f.value("note")}
		if a.Time, err = f.when(f.value("when")); err != nil {
			return a, nil, err
		}
		rises, err = f.rises(label, a)
		return a, rises, err
	}
	f.cautions = func(f *form) []string {
		a, rises, _ := read(f)
		return f.data.Beware(a, rises)
	}
	f.doubt = func(f *form) (doubter, error) {
		a, rises, err := read(f)
		entries := f.data.Entries(a, f.value(label), rises)
		return func(v *logbook.View) ([]string, error) { return entry.DoubtRises(v, entries) }, err
	}
	f.save = func(f *form) (saver, error) {
		a, rises, err := read(f)
		if err != nil {
			return nil, err
		}
		said := "dose of " + risesText(rises) + " in the book"
		if daily {
			said = "dosing of " + risesText(rises) + " a day in the book"
		}
		var rs []logbook.Record
		for _, e := range f.data.Entries(a, f.value(label), rises) {
			rs = append(rs, e)
		}
		return adding(said, rs...), nil
	}
	return f
}

// amountFields are what a dose and a dosing have in common.
func amountFields(parameter, amount string, daily bool) []*formField {
	return []*formField{
		{label: "parameter", initial: parameter, check: checkParameter},
		{label: amount, hint: "0.5, or 20 mL", check: func(f *form, text string) (string, error) { return f.checkRise(amount, daily) }},
		{label: "unit", check: func(f *form, text string) (string, error) {
			p, ok := f.parameter()
			if !ok {
				return "", nil
			}
			_, err := p.FindUnit(text)
			return "", err
		}},
		{label: "supplement", hint: "what was added", check: checkSupplement},
	}
}

// checkSupplement says of a supplement what its strength is known for.
func checkSupplement(f *form, text string) (string, error) {
	s, ok := f.data.Supplement(f.value("supplement"))
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

// describeSupplement opens the form that describes the supplement named in an amount form.
func describeSupplement(f *form) want {
	return formOf{aSupplement, f.tank, f.value("supplement")}
}

func fillAmounts(f *form) {
	f.field("parameter").choices = parameterNames(f.data)
	f.field("supplement").choices = f.data.supplements
	if p, ok := f.parameter(); ok {
		if name, _ := f.data.InUse(p); name != "" {
			f.set("supplement", name)
		}
	}
	if f.value("parameter") == "" && len(f.data.measured) > 0 {
		f.set("parameter", f.data.measured[0])
	}
	f.field("unit").hint = "the usual one"
	if p, ok := f.parameter(); ok && p.Unit != "" {
		f.field("unit").hint = p.Unit
	}
}

func (f *form) startAt(label string) {
	for i, x := range f.fields {
		if x.label == label {
			f.focus(i)
		}
	}
}

// parameter is the one named in the form.
func (f *form) parameter() (logbook.Parameter, bool) {
	name := f.value("parameter")
	for _, p := range f.data.Parameters {
		if strings.EqualFold(p.Name, name) || strings.EqualFold(p.Code, name) {
			return p, true
		}
	}
	return logbook.Parameter{}, false
}

func parameterNames(d formData) []string {
	out := append([]string(nil), d.measured...)
	for _, p := range d.Parameters {
		if !slices.Contains(out, p.Name) {
			out = append(out, p.Name)
		}
	}
	return out
}

func checkParameter(f *form, text string) (string, error) {
	switch {
	case text == "":
		return "", errors.New("which parameter?")
	case len(f.data.Parameters) == 0:
		return "", nil
	}
	p, ok := f.parameter()
	if !ok {
		return "", fmt.Errorf("%q is not a parameter of this book", text)
	}
	if strings.EqualFold(p.Name, text) {
		return "", nil
	}
	return p.Name, nil
}

func newWaterChangeForm(e *env, t logbook.Tank, _ string) *form {
	f := newForm(e, t, "water change",
		&formField{label: "how much", hint: "15 for 15 %, or 60 L", check: func(f *form, _ string) (string, error) {
			part, err := f.share()
			if err != nil {
				return "", err
			}
			return fmt.Sprintf("%.3g %% of the water", part*100), nil
		}},
		&formField{label: "new water", hint: "alk=8.3 ca=420, if known", check: func(f *form, text string) (string, error) {
			_, _, err := f.levels(text)
			return "", err
		}},
		whenField(), &formField{label: "note"})
	f.doubt = func(f *form) (doubter, error) {
		_, doubts, err := f.levels(f.value("new water"))
		return func(*logbook.View) ([]string, error) { return doubts, nil }, err
	}
	f.save = func(f *form) (saver, error) {
		part, err := f.share()
		if err != nil {
			return nil, err
		}
		at, err := f.when(f.value("when"))
		if err != nil {
			return nil, err
		}
		levels, _, err := f.levels(f.value("new water"))
		if err != nil {
			return nil, err
		}
		w := logbook.WaterChange{Time: at, Tank: t.Name, Fraction: part, New: levels, Note: f.value("note")}
		return adding(fmt.Sprintf("water change of %.3g %% in the book", part*100), w), nil
	}
	return f
}

// share reads how much of the water was changed; a bare number is percent, as the field says.
func (f *form) share() (float64, error) {
	part, err := entry.Share(f.value("how much"), f.tank, "%")
	if err != nil {
		return 0, errors.New(refusalText(err))
	}
	return part, nil
}

// levels reads the known levels of the new water, and says which of them are unlikely.
func (f *form) levels(text string) (out map[string]logbook.Amount, doubts []string, err error) {
	pairs, err := entry.Assignments(text)
	for _, x := range pairs {
		p, ok := logbook.FindParameter(f.data.Parameters, x[0])
		if !ok {
			return nil, nil, fmt.Errorf("%q is not a parameter of this book", x[0])
		}
		level, doubt, err := entry.Level(p, x[1])
		if err != nil {
			return nil, nil, errors.New(refusalText(err))
		}
		if out == nil {
			out = map[string]logbook.Amount{}
		}
		out[p.Name] = level
		if doubt != "" {
			doubts = append(doubts, doubt)
		}
	}
	return out, doubts, err
}

func newEventForm(e *env, t logbook.Tank, _ string) *form {
	f := newForm(e, t, "event",
		&formField{label: "what", hint: "what was seen or done", check: needed("what was seen or done?")},
		&formField{label: "of", hint: "which animal or thing"},
		&formField{label: "tags", hint: "words to find it by"},
		whenField())
	f.save = func(f *form) (saver, error) {
		at, err := f.when(f.value("when"))
		if err != nil {
			return nil, err
		}
		tags := strings.FieldsFunc(f.value("tags"), func(r rune) bool { return r == ',' || r == ' ' })
		return adding("event in the book", logbook.Event{Time: at, Tank: t.Name, Tags: tags, Subject: f.value("of"), Text: f.value("what")}), nil
	}
	return f
}

func needed(question string) func(*form, string) (string, error) {
	return func(_ *form, text string) (string, error) {
		if text == "" {
			return "", errors.New(question)
		}
		return "", nil
	}
}

// adding is a saver of new records.
func adding(said string, rs ...logbook.Record) saver {
	return func(b *logbook.Book) (string, error) {
		_, err := b.Append(rs...)
		return said, err
	}
}
