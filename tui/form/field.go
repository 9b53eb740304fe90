package form

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/textinput"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

type formField struct {
	label   string
	hint    string // shown while nothing is typed
	Input   textinput.Model
	initial string
	edited  bool // by hand: typing goes on where it stands
	choices []string
	offers  func(Data) []string // the choices, once the book's lists are there; nil: choices stay
	sought  string              // what was typed when the choices were first gone through
	check   check               // nil: any text will do
	may     bool                // be left empty: nothing is checked then
}

// check judges a text as it is typed, and may say how it is read. An error is what stands in the way.
type check func(f *Form, text string) (say string, err error)

func readable[T any](read func(text string) (T, error)) check {
	return func(_ *Form, text string) (string, error) {
		_, err := read(text)
		return "", err
	}
}

func needed(question string) check {
	return func(_ *Form, text string) (string, error) {
		if text == "" {
			return "", errors.New(question)
		}
		return "", nil
	}
}

func optional(text string) (*float64, error) {
	if text == "" {
		return nil, nil
	}
	v, bound, err := logbook.ParseValue(text)
	if err != nil {
		return nil, err
	}
	if bound != logbook.Exact {
		return nil, fmt.Errorf("%q: a plain number", text)
	}
	return &v, nil
}

// daysOf reads a number of days; nothing is 0.
func daysOf(text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	return entry.Days(text)
}

func parameterField(initial string) *formField {
	return &formField{label: "parameter", initial: initial, check: checkParameter, offers: parameterNames}
}

func checkParameter(f *Form, text string) (string, error) {
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

// parameter is the one named in the form.
func (f *Form) parameter() (logbook.Parameter, bool) {
	return logbook.FindParameter(f.data.Parameters, f.Value("parameter"))
}

func parameterNames(d Data) []string {
	all := words.Of(d.Parameters, func(p logbook.Parameter) string { return p.Name })
	return words.Once(slices.Concat(d.Measured, all))
}

// each reads "alk=8.3 ca=420": parameters of the book, each with its value.
func (f *Form) each(text string, read func(p logbook.Parameter, value string) error) error {
	pairs, err := entry.Assignments(text)
	for _, x := range pairs {
		p, ok := logbook.FindParameter(f.data.Parameters, x[0])
		if !ok {
			return fmt.Errorf("%q is not a parameter of this book", x[0])
		}
		if err := read(p, x[1]); err != nil {
			return err
		}
	}
	return err
}

func unitField(initial string) *formField {
	return &formField{label: "unit", initial: initial, check: func(f *Form, text string) (string, error) {
		p, ok := f.parameter()
		if !ok {
			return "", nil
		}
		_, err := p.FindUnit(text)
		return "", err
	}}
}

// hintUnit says in which unit a number is that has none.
func (f *Form) hintUnit() {
	f.Field("unit").hint = "the usual one"
	if p, ok := f.parameter(); ok && p.Unit != "" {
		f.Field("unit").hint = p.ShownUnit()
	}
}

const whenLabel = "when"

// whenField is the time of an entry: empty is now.
func whenField() *formField {
	return &formField{label: whenLabel, hint: "now", check: func(f *Form, text string) (string, error) {
		return part.WhenText(f.reads, text, f.now())
	}}
}

func (f *Form) when() (time.Time, error) {
	return f.reads(f.Value(whenLabel), f.now())
}

func (f *Form) now() time.Time { return f.Moment().In(f.tank.Zone()) }

// pick finds the choice that text means: the same word, or the only one that begins with it.
func pick(text string, choices []string) (string, bool) {
	found := ""
	for _, c := range choices {
		if strings.EqualFold(c, text) {
			return c, true
		}
		if text != "" && strings.HasPrefix(strings.ToLower(c), strings.ToLower(text)) {
			if found != "" {
				return "", false
			}
			found = c
		}
	}
	return found, found != ""
}

// nearest puts the choices that begin with what is typed before those that hold it, and those before the others.
func nearest(text string, choices []string) []string {
	text = strings.ToLower(text)
	var begin, hold, rest []string
	for _, c := range choices {
		switch at := strings.Index(strings.ToLower(c), text); {
		case at == 0:
			begin = append(begin, c)
		case at > 0:
			hold = append(hold, c)
		default:
			rest = append(rest, c)
		}
	}
	return append(append(begin, hold...), rest...)
}

// cycle puts the next choice into the field, beginning with those that what is typed is part of.
func (f *Form) cycle(by int) {
	x := f.Fields[f.At]
	n := len(x.choices)
	if n == 0 {
		return
	}
	now := strings.TrimSpace(x.Input.Value())
	if x.edited {
		x.sought = now
	}
	choices := nearest(x.sought, x.choices)
	at := -1
	if by < 0 {
		at = 0
	}
	for i, c := range choices {
		if strings.EqualFold(c, now) {
			at = i
		}
	}
	x.Input.SetValue(choices[(at+by+n)%n])
	x.Input.CursorEnd()
	x.edited = false
}
