package tui

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"leadline/alerts/entry"
	"leadline/logbook"
)

// The quick entries: what was done to a tank. Each is a form whose cursor starts where there is something to type.

func newDoseForm(e *env, t logbook.Tank, parameter string) *form {
	f := newForm(e, t, "one dose", append(amountFields(parameter, "rise"), whenField(), &formField{label: "note"})...)
	f.intro = "A one-off addition, as the rise it makes in the whole tank's water."
	f.ready = fillAmounts
	f.startAt("rise")
	f.describe = describeSupplement
	f.doubt = doubtAmount("rise", false)
	f.save = func(f *form) (saver, error) {
		at, err := f.when(f.value("when"))
		if err != nil {
			return nil, err
		}
		rises, err := f.rises("rise")
		if err != nil {
			return nil, err
		}
		var rs []logbook.Record
		for _, r := range rises {
			rs = append(rs, logbook.Dose{Time: at, Tank: t.Name, Parameter: r.parameter.Name, Amount: r.amount, Unit: r.unit,
				Supplement: f.value("supplement"), Note: f.noteOn("rise")})
		}
		return adding("dose of "+risesText(rises)+" in the book", rs...), nil
	}
	return f
}

func newDosingForm(e *env, t logbook.Tank, parameter string) *form {
	f := newForm(e, t, "daily dosing", append(amountFields(parameter, "per day"), whenField(), &formField{label: "note"})...)
	f.intro = "A standing daily amount, as the rise per day in the whole tank's water. It holds until the next one; 0 stops it."
	f.ready = fillAmounts
	f.startAt("per day")
	f.describe = describeSupplement
	f.doubt = doubtAmount("per day", true)
	f.save = func(f *form) (saver, error) {
		at, err := f.when(f.value("when"))
		if err != nil {
			return nil, err
		}
		rises, err := f.rises("per day")
		if err != nil {
			return nil, err
		}
		var rs []logbook.Record
		for _, r := range rises {
			rs = append(rs, logbook.Dosing{Time: at, Tank: t.Name, Parameter: r.parameter.Name, PerDay: r.amount, Unit: r.unit,
				Supplement: f.value("supplement"), Note: f.noteOn("per day")})
		}
		return adding("dosing of "+risesText(rises)+" a day in the book", rs...), nil
	}
	return f
}

// doubtAmount asks about the rises that an amount field makes.
func doubtAmount(label string, daily bool) func(*form) (doubter, error) {
	return func(f *form) (doubter, error) {
		at, err := f.when(f.value("when"))
		if err != nil {
			return nil, err
		}
		rises, err := f.rises(label)
		if err != nil {
			return nil, err
		}
		var entries []logbook.Entry
		for _, r := range rises {
			d := logbook.Dosing{Time: at, Tank: f.tank.Name, Parameter: r.parameter.Name, PerDay: r.amount, Unit: r.unit, Supplement: f.value("supplement")}
			if daily {
				entries = append(entries, d)
				continue
			}
			entries = append(entries, logbook.Dose{Time: d.Time, Tank: d.Tank, Parameter: d.Parameter, Amount: d.PerDay, Unit: d.Unit})
		}
		return doubtRises(entries), nil
	}
}

// amountFields are what a dose and a dosing have in common.
func amountFields(parameter, amount string) []*formField {
	return []*formField{
		{label: "parameter", initial: parameter, check: checkParameter},
		{label: amount, hint: "0.5, or 20 mL", check: func(f *form, text string) (string, error) { return f.checkRise(amount, amount == "per day") }},
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
	s, ok := f.supplement()
	p, named := f.parameter()
	switch {
	case text == "" || !f.known:
		return "", nil
	case !ok:
		return "not described: " + f.env.keys.Form.Describe.Help().Key + " describes it, for volumes", nil
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
func describeSupplement(f *form) screen {
	return newSupplementForm(f.env, f.tank, f.value("supplement"))
}

func fillAmounts(f *form) {
	f.field("parameter").choices = parameterNames(f.data)
	f.field("supplement").choices = f.data.supplements
	f.fillSupplement()
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
	for _, p := range f.data.parameters {
		if strings.EqualFold(p.Name, name) || strings.EqualFold(p.Code, name) {
			return p, true
		}
	}
	return logbook.Parameter{}, false
}

// unit is the unit typed, or the parameter's own.
func (f *form) unit() string {
	if u := f.value("unit"); u != "" {
		return u
	}
	p, _ := f.parameter()
	return p.Unit
}

func parameterNames(d formData) []string {
	out := append([]string(nil), d.measured...)
	for _, p := range d.parameters {
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
	case len(f.data.parameters) == 0:
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

func newWaterChangeForm(e *env, t logbook.Tank) *form {
	f := newForm(e, t, "water change",
		&formField{label: "how much", hint: "15 for 15 %, or 60 L", check: func(f *form, text string) (string, error) {
			part, err := fraction(text, f.tank.VolumeL)
			if err != nil {
				return "", err
			}
			return fmt.Sprintf("%.3g %% of the water", part*100), nil
		}},
		&formField{label: "new water", hint: "alk=8.3 ca=420, if known", check: func(f *form, text string) (string, error) {
			_, err := f.levels(text)
			return "", err
		}},
		whenField(), &formField{label: "note"})
	f.doubt = doubtLevels
	f.save = func(f *form) (saver, error) {
		part, err := fraction(f.value("how much"), t.VolumeL)
		if err != nil {
			return nil, err
		}
		at, err := f.when(f.value("when"))
		if err != nil {
			return nil, err
		}
		levels, err := f.levels(f.value("new water"))
		if err != nil {
			return nil, err
		}
		w := logbook.WaterChange{Time: at, Tank: t.Name, Fraction: part, New: levels, Note: f.value("note")}
		return adding(fmt.Sprintf("water change of %.3g %% in the book", part*100), w), nil
	}
	return f
}

// fraction reads "15", "15 %" or "60 L" as a part of the water.
func fraction(text string, volume float64) (float64, error) {
	value, unit := entry.Split(text)
	v, err := plainNumber(value)
	if err != nil {
		return 0, errors.New("how much of the water, in percent?")
	}
	switch strings.ToLower(unit) {
	case "", "%":
		v /= 100
	case "l", "litres", "liters", "litre", "liter":
		if volume <= 0 {
			return 0, errors.New("the tank's volume is not known: give a percentage")
		}
		v /= volume
	default:
		return 0, fmt.Errorf("%q is neither %% nor L", unit)
	}
	if !(v > 0 && v <= 1) {
		return 0, errors.New("more than nothing and at most all of the water")
	}
	return v, nil
}

// levels reads the known levels of the new water.
func (f *form) levels(text string) (map[string]logbook.Amount, error) {
	if text == "" {
		return nil, nil
	}
	out := map[string]logbook.Amount{}
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ';' }) {
		name, value, ok := strings.Cut(word, "=")
		if !ok {
			return nil, fmt.Errorf("%q: write parameter=value, such as alk=8.3", word)
		}
		p, ok := logbook.FindParameter(f.data.parameters, name)
		if !ok {
			return nil, fmt.Errorf("%q is not a parameter of this book", name)
		}
		number, unit := entry.Split(value)
		r, err := logbook.ParseReading(p, number, unit)
		if err != nil {
			return nil, errors.New(refusalText(err))
		}
		v, _, err := logbook.ParseValue(number)
		if err != nil {
			return nil, err
		}
		out[p.Name] = logbook.Amount{Value: v, Unit: r.Unit}
	}
	return out, nil
}

// doubtLevels asks about levels of the new water that are unlikely.
func doubtLevels(f *form) (doubter, error) {
	levels, err := f.levels(f.value("new water"))
	if err != nil {
		return nil, err
	}
	var doubts []string
	for _, p := range f.data.parameters {
		level, ok := levels[p.Name]
		if !ok {
			continue
		}
		r, err := logbook.ParseReading(p, strconv.FormatFloat(level.Value, 'g', -1, 64), level.Unit)
		if err != nil {
			return nil, err
		}
		if why, yes := logbook.Unlikely(p, r); yes {
			doubts = append(doubts, "new water, "+p.Name+": "+why)
		}
	}
	return func(*logbook.View) ([]string, error) { return doubts, nil }, nil
}

func newEventForm(e *env, t logbook.Tank) *form {
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
