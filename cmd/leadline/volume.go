package main

import (
	"fmt"
	"strconv"

	"leadline/logbook"
	"leadline/logbook/water"
)

// rise is what a volume of a supplement does to one parameter of a tank.
type rise struct {
	parameter logbook.Parameter
	amount    float64 // canonical unit
}

// risesOf turns millilitres of a supplement into what they raise in the whole tank, one for each parameter that it
// raises. It is refused where the strength or the volume is not known.
func (a *app) risesOf(v *logbook.View, tank logbook.Tank, supplement string, millilitres float64) ([]rise, error) {
	if supplement == "" {
		return nil, usagef("leadline supplement list shows those described", "millilitres of what? --supplement is missing")
	}
	if millilitres < 0 {
		return nil, usagef("0 stops a dosing", "%g mL is below nothing", millilitres)
	}
	s, err := a.supplement(v, supplement)
	if err != nil {
		return nil, err
	}
	if tank.VolumeL <= 0 {
		return nil, withHint(fmt.Errorf("the net volume of %s is not known, so millilitres cannot be turned into a rise", tank.Name), "leadline tank set --tank "+strconv.Quote(tank.Name)+" --volume LITRES")
	}
	parameters, err := v.Parameters()
	if err != nil {
		return nil, err
	}
	var rises []rise
	for _, r := range s.Raises(parameters) {
		by, err := r.Strength.Rise(millilitres, tank.VolumeL)
		if err != nil {
			return nil, err
		}
		rises = append(rises, rise{r.Parameter, significant(by)})
	}
	if len(rises) == 0 {
		return nil, fmt.Errorf("%s, as it is described, raises nothing that is kept here", s.Name)
	}
	return rises, nil
}

// significant keeps six digits: what is computed from a volume is known no better.
func significant(v float64) float64 {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	if err != nil {
		return v
	}
	return rounded
}

// takesText says how much of its supplement a rise takes; "" where strength or volume is not known.
func takesText(v *logbook.View, tank logbook.Tank, supplement string, p logbook.Parameter, am logbook.Amount) string {
	s, err := v.Supplement(supplement)
	if err != nil || tank.VolumeL <= 0 || am.Value <= 0 {
		return ""
	}
	strength, err := s.Strength(p)
	if err != nil {
		return ""
	}
	canonical, err := p.CanonicalChange(am.Value, am.Unit)
	if err != nil {
		return ""
	}
	ml, err := strength.Millilitres(canonical, tank.VolumeL)
	if err != nil {
		return ""
	}
	return fmt.Sprintf("%s takes %s mL of %s", p.Name, water.FormatSignificant(ml, 3), s.Name)
}
