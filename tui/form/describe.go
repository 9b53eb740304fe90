package form

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/tui/part"
)

// limewater stands among the salts, for what is described by its name alone.
const limewater = "limewater"

// NewSupplement describes what is dosed, by its label or by its recipe, so that its strength is known. A name
// that is known already is described anew.
func NewSupplement(e *part.Env, t logbook.Tank, name string) *Form {
	f := newForm(e, t, "describe a supplement",
		&formField{label: "name", initial: name, hint: "phosphate mix", check: func(f *Form, text string) (string, error) {
			if text == "" {
				return "", errors.New("what do you call it?")
			}
			if s, ok := f.described(); ok {
				return "described already, and raises " + words.Raises(s, f.data.Parameters), nil
			}
			return "", nil
		}},
		&formField{label: "label", hint: "10 mL in 100 L", may: true, check: func(_ *Form, text string) (string, error) {
			_, _, err := labelAmount(text)
			return "", err
		}},
		&formField{label: "raises", hint: "alk=1, or several: alk=1 ca=7", check: func(f *Form, text string) (string, error) {
			_, err := f.labelRises(text)
			return "", err
		}},
		&formField{label: "or salt", hint: "Na2CO3, or limewater", choices: salts(),
			may: true, check: func(f *Form, _ string) (string, error) {
				if f.Value("or salt") == limewater {
					return "", nil
				}
				s, err := water.FindSalt(f.Value("or salt"))
				return s.Formula, err
			}},
		&formField{label: "grams per litre", hint: "so much of the salt made up to 1 L", check: readable(optional)})
	f.intro = "Either what its label says of an amount in so much water, or the salt you make it of. The strength turns " +
		"millilitres into a rise."
	if name != "" {
		f.StartAt("label")
	}
	f.read = func(f *Form) (typed, error) {
		s, why, err := f.newSupplement()
		if err != nil {
			return typed{}, err
		}
		cautions := alerts.CautionsOf(s, f.data.Supplements, f.data.Parameters)
		slices.Reverse(cautions) // its own first: there may be room for few
		said := part.Clean(s.Name) + " described: raises " + words.Raises(s, f.data.Parameters)
		return typed{save: f.adding(said, s), doubts: []string{why}, cautions: cautions}, nil
	}
	return f
}

func salts() []string {
	return append([]string{limewater}, words.Of(water.Salts(), func(s water.Salt) string { return s.Name })...)
}

// described is the supplement that has the name typed.
func (f *Form) described() (logbook.Supplement, bool) {
	return words.First(f.data.Supplements, func(s logbook.Supplement) bool { return s.Name == f.Value("name") })
}

func (f *Form) newSupplement() (s logbook.Supplement, doubt string, err error) {
	s.Name = f.Value("name")
	label, raises, salt, grams := f.Value("label"), f.Value("raises"), f.Value("or salt"), f.Value("grams per litre")
	switch {
	case (label != "" || raises != "") && (salt != "" || grams != ""):
		err = errors.New("one of the two: what the label says, or the salt it is made of")
	case salt == limewater && grams != "":
		err = errors.New("limewater is saturated: it has no grams per litre")
	case salt == limewater:
		s.Limewater = true
	case salt != "":
		g, wrong := optional(grams)
		if s.Salt = salt; wrong != nil || g == nil {
			err = errors.New("grams per litre: how much of the salt in a litre?")
		} else {
			s.GramsPerL = *g
		}
	case label == "":
		err = errors.New("label: how much in how much water, such as 10 mL in 100 L? or name the salt")
	case raises == "":
		err = errors.New("raises: what does that much raise, such as alk=1?")
	default:
		if s.LabelML, s.LabelL, err = labelAmount(label); err == nil {
			s.Label, err = f.labelRises(raises)
		}
	}
	if err == nil {
		doubt, err = f.data.Describe(s)
	}
	return s, doubt, err
}

// labelAmount reads "10 mL in 100 L".
func labelAmount(text string) (ml, litres float64, err error) {
	some, in, ok := strings.Cut(text, " in ")
	if !ok {
		return 0, 0, fmt.Errorf("%q: an amount and the water it goes into, such as 10 mL in 100 L", text)
	}
	amount := func(text, bare string) (float64, error) {
		value, unit := logbook.Split(text)
		v, err := entry.Number(value)
		if err != nil || !(v > 0) {
			return 0, fmt.Errorf("%q is not a volume", strings.TrimSpace(text))
		}
		return water.Litres(v, cmp.Or(unit, bare))
	}
	if ml, err = amount(some, "mL"); err != nil {
		return 0, 0, err
	}
	litres, err = amount(in, "L")
	return 1000 * ml, litres, err
}

// labelRises reads "alk=1 ca=7"; a number may carry its unit.
func (f *Form) labelRises(text string) (out []logbook.LabelRise, err error) {
	err = f.each(text, func(p logbook.Parameter, value string) error {
		rise, err := entry.Amount(p, value, "")
		out = append(out, logbook.LabelRise{Parameter: p.Name, Rise: rise.Value, Unit: rise.Unit})
		return err
	})
	return out, err
}

// NewMethod describes a kit or an instrument: what numbers it can give and how far repeated tests scatter. A name
// that is known already brings its description, to be changed.
func NewMethod(e *part.Env, t logbook.Tank, parameter string) *Form {
	f := newForm(e, t, "describe a method",
		parameterField(parameter),
		&formField{label: "name", hint: "nitrate-card", check: checkMethodName},
		unitField(""),
		&formField{label: "steps or marks", hint: "0.1, or 0 1 2 5 10 20 50", check: checkScale},
		&formField{label: "repeatability", hint: "0.3, or 5 %, or 0.4 marks", may: true,
			check: func(_ *Form, text string) (string, error) {
				m, err := entry.Scatter(text)
				return "standard deviation: " + words.Scatter(m), err
			}},
		&formField{label: "limit", hint: "least it can see, if told", check: readable(optional)})
	f.intro = "How far repeated tests of the same water scatter tells the engine how much one reading says."
	f.StartAt("name")
	f.ready = func(f *Form) {
		p, _ := f.parameter()
		f.Field("unit").hint = p.ShownUnit()
		f.Field("name").choices = f.data.MethodNames(p)
	}
	f.read = func(f *Form) (typed, error) {
		m, err := f.newMethod()
		return typed{save: f.adding("method "+part.Clean(m.Name)+" described", m)}, err
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
	return words.First(f.data.Methods, func(m logbook.Method) bool {
		return m.Name == f.Value("name") && m.Parameter == p.Name
	})
}
