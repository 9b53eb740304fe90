package logbook

import (
	"fmt"
	"strings"

	"leadline/logbook/water"
)

// typed turns the cells of an import into what a reading holds. Names and units come again and again in a long file;
// each is worked out once and its text kept once. Values are not remembered: to look one up costs more than to read it.
type typed struct {
	parameters []Parameter
	found      map[string]*typedParameter
	texts      map[string]string
}

type typedParameter struct {
	Parameter
	units map[string]*typedUnit // by text as typed
}

type typedUnit struct {
	text string
	unit water.Unit
}

// mostTexts is how many different ones are remembered of each sort.
const mostTexts = 20_000

func newTyped(ps []Parameter) *typed {
	t := &typed{texts: map[string]string{}}
	t.setParameters(ps)
	return t
}

func (t *typed) setParameters(ps []Parameter) {
	t.parameters = ps
	t.found = map[string]*typedParameter{}
}

// change makes known what a line says of a parameter, beside what was said of it above.
func (t *typed) change(c Change, name string) {
	var h held
	for _, old := range t.parameters {
		if old.Name == name && !c.Noted.IsZero() {
			h.add(Change{Of: old})
		}
	}
	h.add(c)
	t.define(h.definition().(Parameter))
}

// define makes a parameter known, in place of an older one of its name.
func (t *typed) define(p Parameter) {
	ps := make([]Parameter, 0, len(t.parameters)+1)
	for _, old := range t.parameters {
		if old.Name != p.Name {
			ps = append(ps, old)
		}
	}
	t.setParameters(append(ps, p))
}

func (t *typed) keep(b []byte) string {
	if len(b) == 0 {
		return ""
	}
	if s, ok := t.texts[string(b)]; ok {
		return s
	}
	s := string(b)
	if len(t.texts) < mostTexts {
		t.texts[s] = s
	}
	return s
}

// parameter finds a parameter by its name or code.
func (t *typed) parameter(text []byte) (*typedParameter, error) {
	if p, ok := t.found[string(text)]; ok {
		return p, nil
	}
	s := string(text)
	p, ok := FindParameter(t.parameters, s)
	if !ok {
		return nil, refuse(s, "known are "+t.names(), "%s is not a parameter", quote(trim(s)))
	}
	found := &typedParameter{Parameter: p, units: map[string]*typedUnit{}}
	for _, other := range t.found {
		if other.Name == p.Name {
			found = other
		}
	}
	if len(t.found) < mostTexts {
		t.found[s] = found
	}
	return found, nil
}

func (t *typed) names() string {
	var names []string
	for _, p := range t.parameters {
		name := Clean(p.Name)
		if p.Code != "" && !strings.EqualFold(p.Code, p.Name) {
			name = fmt.Sprintf("%s (%s)", name, Clean(p.Code))
		}
		names = append(names, name)
	}
	return strings.Join(names, ", ")
}

func (p *typedParameter) unit(text []byte) (*typedUnit, error) {
	if u, ok := p.units[string(text)]; ok {
		return u, nil
	}
	u := &typedUnit{text: trim(string(text))}
	var err error
	if u.unit, err = p.FindUnit(u.text); err != nil {
		return nil, Refusal{Value: u.text, Reason: err.Error()}
	}
	if len(p.units) < mostTexts {
		p.units[string(text)] = u
	}
	return u, nil
}

// withUnit parts a number from a unit of the parameter behind it; own is nil where none is.
func (p *typedParameter) withUnit(text []byte) (number []byte, own *typedUnit) {
	if n := len(text); n == 0 || text[n-1] == '.' || text[n-1] >= '0' && text[n-1] <= '9' {
		return text, nil
	}
	value, unit := Split(string(text))
	u, err := p.unit([]byte(unit))
	if unit == "" || err != nil {
		return text, nil
	}
	return []byte(value), u
}
