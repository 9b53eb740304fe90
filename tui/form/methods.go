package form

import (
	"errors"
	"fmt"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// newMethodForm describes a kit or an instrument: what numbers it can give and how far repeated tests scatter. A name
// that is known already brings its description, to be changed.
func newMethodForm(e *part.Env, t logbook.Tank, parameter string) *Form {
	f := newForm(e, t, "describe a method",
		parameterField(parameter),
		&formField{label: "name", hint: "nitrate-card", check: checkMethodName},
		unitField(""),
		&formField{label: "steps or marks", hint: "0.1, or 0 1 2 5 10 20 50", check: checkScale},
		&formField{label: "repeatability", hint: "0.3, or 5 %, or 0.4 marks",
			check: func(_ *Form, text string) (string, error) {
				m, err := entry.Scatter(text)
				if err != nil || text == "" {
					return "", err
				}
				return "standard deviation: " + words.Scatter(m), nil
			}},
		&formField{label: "limit", hint: "least it can see, if told", check: readable(optional)})
	f.intro = "How far repeated tests of the same water scatter tells the engine how much one reading says."
	f.StartAt("name")
	f.ready = func(f *Form) {
		p, _ := f.parameter()
		f.Field("unit").hint = p.ShownUnit()
		f.Field("name").choices = f.data.MethodNames(p)
	}
	f.save = func(f *Form) (saver, error) {
		m, err := f.newMethod()
		return f.adding("method "+part.Clean(m.Name)+" described", m), err
	}
	return f
}

func (f *Form) newMethod() (m logbook.Method, err error) {
	p, ok := f.parameter()
	if !ok {
		return m, errors.New("which parameter?")
	}
	if m, err = entry.Scatter(f.Value("repeatability")); err != nil {
		return m, err
	}
	m.Name = f.Value("name")
	if m.Step, m.Marks, err = entry.Scale(f.Value("steps or marks")); err != nil {
		return m, err
	}
	limit, err := optional(f.Value("limit"))
	if err != nil {
		return m, err
	}
	if limit != nil {
		m.Limit = *limit
	}
	return entry.Method(m, p, f.Value("unit"))
}

func checkMethodName(f *Form, text string) (string, error) {
	if text == "" {
		return "", errors.New("what do you call it?")
	}
	if m, ok := f.method(); ok {
		return "described as " + words.Method(m), nil
	}
	return "", nil
}

func checkScale(_ *Form, text string) (string, error) {
	step, marks, err := entry.Scale(text)
	switch {
	case err != nil:
		return "", err
	case len(marks) > 0:
		return fmt.Sprintf("a scale of %d marks", len(marks)), nil
	case step > 0:
		return fmt.Sprintf("numbers in steps of %g", step), nil
	}
	return "", nil
}

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
