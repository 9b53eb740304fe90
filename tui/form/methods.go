package form

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// newMethodForm describes a kit or an instrument: what numbers it can give and how far repeated tests scatter. A name
// that is known already brings its description, to be changed.
func newMethodForm(e *part.Env, t logbook.Tank, parameter string) *Form {
	f := newForm(e, t, "describe a method",
		&formField{label: "parameter", initial: parameter, check: checkParameter},
		&formField{label: "name", hint: "nitrate-card", check: func(f *Form, text string) (string, error) {
			if text == "" {
				return "", errors.New("what do you call it?")
			}
			if m, ok := f.method(); ok {
				return "described as " + words.Method(m), nil
			}
			return "", nil
		}},
		&formField{label: "unit", check: func(f *Form, text string) (string, error) {
			p, ok := f.parameter()
			if !ok {
				return "", nil
			}
			_, err := p.FindUnit(text)
			return "", err
		}},
		&formField{label: "steps or marks", hint: "0.1, or 0 1 2 5 10 20 50", check: func(_ *Form, text string) (string, error) {
			step, marks, err := stepOrMarks(text)
			switch {
			case err != nil:
				return "", err
			case len(marks) > 0:
				return fmt.Sprintf("a scale of %d marks", len(marks)), nil
			case step > 0:
				return fmt.Sprintf("numbers in steps of %g", step), nil
			}
			return "", nil
		}},
		&formField{label: "repeatability", hint: "0.3, or 5 %, or 0.4 marks", check: func(_ *Form, text string) (string, error) {
			m, err := repeatability(text)
			if err != nil || text == "" {
				return "", err
			}
			return "standard deviation: " + words.Scatter(m), nil
		}},
		&formField{label: "limit", hint: "least it can see, if told", check: func(_ *Form, text string) (string, error) {
			_, err := optional(text)
			return "", err
		}})
	f.intro = "How far repeated tests of the same water scatter tells the engine how much one reading says."
	f.StartAt("name")
	f.ready = func(f *Form) {
		f.Field("parameter").choices = parameterNames(f.data)
		p, _ := f.parameter()
		f.Field("unit").hint = p.Unit
		f.Field("name").choices = nil
		for _, m := range f.data.Methods {
			if m.Parameter == p.Name {
				f.Field("name").choices = append(f.Field("name").choices, m.Name)
			}
		}
	}
	f.save = func(f *Form) (saver, error) {
		p, ok := f.parameter()
		if !ok {
			return nil, errors.New("which parameter?")
		}
		m, err := repeatability(f.Value("repeatability"))
		if err != nil {
			return nil, err
		}
		u, err := p.FindUnit(f.Value("unit"))
		if err != nil {
			return nil, err
		}
		m.Name, m.Parameter, m.Unit = f.Value("name"), p.Name, u.Name()
		if m.Step, m.Marks, err = stepOrMarks(f.Value("steps or marks")); err != nil {
			return nil, err
		}
		if m.Step == 0 && len(m.Marks) == 0 {
			return nil, errors.New("steps or marks: in what steps does it read?")
		}
		limit, err := optional(f.Value("limit"))
		if err != nil {
			return nil, err
		}
		if limit != nil {
			m.Limit = *limit
		}
		return adding("method "+part.Clean(m.Name)+" described", m), nil
	}
	return f
}

// method is the described one of the form's name and parameter.
func (f *Form) method() (logbook.Method, bool) {
	p, _ := f.parameter()
	name := f.Value("name")
	for _, m := range f.data.Methods {
		if m.Name == name && m.Parameter == p.Name {
			return m, true
		}
	}
	return logbook.Method{}, false
}

// stepOrMarks reads one number, the step, or several rising ones, the marks of a scale. A single comma inside of a
// word is a decimal one.
func stepOrMarks(text string) (step float64, marks []float64, err error) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ';' }) {
		numbers := []string{strings.Trim(word, ",")}
		if strings.Count(numbers[0], ",") > 1 {
			numbers = strings.Split(numbers[0], ",")
		}
		for _, w := range numbers {
			v, err := entry.Number(w)
			if err != nil || !(v >= 0) || v > 1e9 {
				return 0, nil, fmt.Errorf("%q is not a number", w)
			}
			marks = append(marks, v)
		}
	}
	switch {
	case len(marks) == 0:
		return 0, nil, nil
	case len(marks) == 1 && marks[0] == 0:
		return 0, nil, errors.New("a step above 0")
	case len(marks) == 1:
		return marks[0], nil, nil
	case !slices.IsSorted(marks):
		return 0, nil, errors.New("marks rise from the first to the last")
	}
	return 0, marks, nil
}

// repeatability reads a standard deviation: plain, in percent of the reading, or in marks; several may be added.
func repeatability(text string) (logbook.Method, error) {
	var m logbook.Method
	for _, term := range strings.Split(text, "+") {
		value, unit := entry.Split(term)
		if value == "" && unit == "" {
			continue
		}
		v, err := entry.Number(value)
		if err != nil || !(v >= 0) || v > 1e9 {
			return m, fmt.Errorf("%q is not a number", strings.TrimSpace(term))
		}
		switch unit {
		case "":
			m.SD = v
		case "%":
			m.SDRel = v / 100
		case "mark", "marks", "step", "steps":
			m.SDSteps = v
		default:
			return m, fmt.Errorf("%q: a number in the method's unit, with %% or with marks", unit)
		}
	}
	return m, nil
}
