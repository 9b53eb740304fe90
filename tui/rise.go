package tui

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/logbook"
	"leadline/logbook/water"
)

// rise is what an addition does to one parameter of a tank.
type rise struct {
	parameter logbook.Parameter
	amount    float64 // in unit
	unit      string
}

// rises reads an amount field: a number in the unit beside it or behind it, or a volume of a supplement, which is turned
// into what it raises in this tank, one rise for every parameter it holds.
func (f *form) rises(label string) ([]rise, error) {
	value, unit := entry.Split(f.value(label))
	v, bound, err := logbook.ParseValue(value)
	switch {
	case value == "":
		return nil, errors.New("how much?")
	case err != nil:
		return nil, errors.New(refusalText(err))
	case bound != logbook.Exact:
		return nil, errors.New("a plain number")
	case v < 0:
		return nil, errors.New("less than nothing cannot be added")
	}
	if ml, ok := millilitres(v, unit); ok {
		return f.risesOf(ml)
	}
	p, ok := f.parameter()
	if !ok {
		return nil, errors.New("of which parameter?")
	}
	if unit == "" {
		unit = f.unit()
	}
	r := rise{p, v, unit}
	if _, err := r.parameter.CanonicalChange(r.amount, r.unit); err != nil {
		return nil, err
	}
	return []rise{r}, nil
}

// millilitres reads a volume.
func millilitres(v float64, unit string) (float64, bool) {
	switch strings.ToLower(unit) {
	case "ml":
		return v, true
	case "l":
		return v * 1000, true
	default:
		return 0, false
	}
}

// risesOf turns a volume of the supplement named in the form into rises.
func (f *form) risesOf(ml float64) ([]rise, error) {
	s, ok := f.supplement()
	switch {
	case f.value("supplement") == "":
		return nil, errors.New("of which supplement? its strength tells what a volume raises")
	case !ok:
		return nil, fmt.Errorf("the strength of %s is not described: %s describes it, or give the rise", f.value("supplement"), f.env.keys.Form.Describe.Help().Key)
	case f.tank.VolumeL <= 0:
		return nil, errors.New("the tank's volume is not known: give the rise")
	}
	var out []rise
	for _, r := range s.Raises(f.data.parameters) {
		by, err := r.Strength.Rise(ml, f.tank.VolumeL)
		if err != nil {
			return nil, err
		}
		// Six digits: what is computed from a volume is known no better.
		rounded, err := strconv.ParseFloat(strconv.FormatFloat(by, 'g', 6, 64), 64)
		if err != nil {
			return nil, err
		}
		out = append(out, rise{r.Parameter, rounded, r.Parameter.Unit})
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s, as it is described, raises nothing that is kept here", s.Name)
	}
	if p, ok := f.parameter(); ok && !slices.ContainsFunc(out, func(r rise) bool { return r.parameter.Name == p.Name }) {
		return nil, raisesAnother(s, p, out)
	}
	return out, nil
}

// raisesAnother says that a supplement does nothing for the parameter that is named.
func raisesAnother(s logbook.Supplement, p logbook.Parameter, rises []rise) error {
	var names []string
	for _, r := range rises {
		names = append(names, r.parameter.Name)
	}
	return fmt.Errorf("%s, as it is described, raises %s and not %s: name another supplement, or another parameter", s.Name, strings.Join(names, ", "), p.Name)
}

// supplement is the described one named in the form.
func (f *form) supplement() (logbook.Supplement, bool) {
	name := f.value("supplement")
	for _, s := range f.data.described {
		if strings.EqualFold(s.Name, name) {
			return s, true
		}
	}
	return logbook.Supplement{}, false
}

// fillSupplement names the supplement the parameter is dosed with, or the only one described that raises it.
func (f *form) fillSupplement() {
	p, ok := f.parameter()
	if !ok {
		return
	}
	if name := f.data.dosedWith[p.Name]; name != "" {
		f.set("supplement", name)
		return
	}
	var names []string
	for _, s := range f.data.described {
		if _, err := s.Strength(p); err == nil {
			names = append(names, s.Name)
		}
	}
	if len(names) == 1 {
		f.set("supplement", names[0])
	}
}

// checkRise says what an amount comes to, what it takes of the supplement, and when it is more than is commonly held
// careful for one day.
func (f *form) checkRise(label string, zeroStops bool) (string, error) {
	rises, err := f.rises(label)
	if err != nil {
		return "", err
	}
	if rises[0].amount == 0 {
		if zeroStops {
			return "stops it", nil
		}
		return "", errors.New("nothing is no dose")
	}
	var said []string
	for _, r := range rises {
		by, err := r.parameter.CanonicalChange(r.amount, r.unit)
		if err != nil {
			return "", err
		}
		text := "+" + alerts.Quantity(r.parameter, by)
		if len(rises) > 1 {
			text = r.parameter.Name + " " + text
		}
		if most := r.parameter.MaxRise; most > 0 && by > most {
			text += fmt.Sprintf(": more than the %s a day commonly held careful", alerts.Quantity(r.parameter, most))
		}
		said = append(said, text)
		if s, ok := f.supplement(); ok && len(rises) == 1 && f.tank.VolumeL > 0 {
			if strength, err := s.Strength(r.parameter); err == nil {
				if ml, err := strength.Millilitres(by, f.tank.VolumeL); err == nil {
					said = append(said, "takes "+water.FormatSignificant(ml, 3)+" mL of "+s.Name)
				}
			}
		}
	}
	return strings.Join(said, ", "), nil
}

// noteOn is the note, with the volume where one was typed.
func (f *form) noteOn(label string) string {
	value, unit := entry.Split(f.value(label))
	v, err := plainNumber(value)
	if err != nil {
		return f.value("note")
	}
	if ml, ok := millilitres(v, unit); ok {
		return strings.Trim(fmt.Sprintf("%g mL; %s", ml, f.value("note")), "; ")
	}
	return f.value("note")
}

func risesText(rs []rise) string {
	var out []string
	for _, r := range rs {
		out = append(out, alerts.RiseText(r.amount, r.unit)+" "+r.parameter.Name)
	}
	return strings.Join(out, ", ")
}
