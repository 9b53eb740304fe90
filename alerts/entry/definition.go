package entry

import (
	"cmp"
	"fmt"
	"strings"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
)

// Method is a method as it is described: what it measures, the unit it shows (text as typed; "" is the parameter's
// own), and the steps or the marks of its numbers. An error is a Refusal, or what logbook.Validate says.
func Method(m logbook.Method, p logbook.Parameter, unit string) (logbook.Method, error) {
	u, err := p.TypedUnit(unit)
	if err != nil {
		return m, err
	}
	if m.Step == 0 && len(m.Marks) == 0 {
		return m, logbook.Refusal{Reason: "in what steps, or by which marks, does it read?"}
	}
	m.Parameter, m.Unit = p.Name, u.Name()
	return m, logbook.Validate(m)
}

// Scale reads one number, the step, or several, the marks of a scale: "0.1", "0 1 2 5". A single comma inside of a word
// is a decimal one.
func Scale(text string) (step float64, marks []float64, err error) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ';' }) {
		numbers := []string{strings.Trim(word, ",")}
		if strings.Count(numbers[0], ",") > 1 {
			numbers = strings.Split(numbers[0], ",")
		}
		for _, w := range numbers {
			v, err := size(w)
			if err != nil {
				return 0, nil, err
			}
			marks = append(marks, v)
		}
	}
	switch {
	case len(marks) == 0:
		return 0, nil, nil
	case len(marks) == 1 && marks[0] == 0:
		return 0, nil, logbook.Refusal{Reason: "a step above 0"}
	case len(marks) == 1:
		return marks[0], nil, nil
	}
	return 0, marks, logbook.Rising(marks)
}

// Scatter reads a standard deviation into a method: plain, in percent of the reading, or in marks; several may be
// added.
func Scatter(text string) (m logbook.Method, err error) {
	for _, part := range strings.Split(text, "+") {
		value, unit := logbook.Split(part)
		if value == "" && unit == "" {
			continue
		}
		v, err := size(value)
		if err != nil {
			return m, err
		}
		switch unit {
		case "":
			m.SD = v
		case "%":
			m.SDRel = v / 100
		case "mark", "marks", "step", "steps":
			m.SDSteps = v
		default:
			return m, logbook.Refusal{Reason: fmt.Sprintf("%q: a number in the method's unit, with %% or with marks", unit)}
		}
	}
	return m, nil
}

// size reads a number that is not below 0.
func size(text string) (float64, error) {
	v, err := Number(text)
	if err != nil || !(v >= 0) || v > 1e9 {
		return 0, logbook.Refusal{Reason: fmt.Sprintf("%q is not a number", strings.TrimSpace(text))}
	}
	return v, nil
}

// Stock is a stock as it is set up: what holds a supplement is counted in mL and what tests a parameter in tests,
// unless another unit is named. A supplement that is not described yet is no hindrance.
func Stock(s logbook.Stock) (logbook.Stock, error) {
	switch {
	case s.Supplement != "":
		s.Unit = cmp.Or(s.Unit, "mL")
	case s.Parameter != "":
		s.Unit = cmp.Or(s.Unit, "tests")
	}
	return s, logbook.Validate(s)
}

// There reads how much of a stock there is, in its unit, or in another unit of volume where it has one: "2000", "2 L".
func There(s logbook.Stock, text string) (float64, error) {
	number, unit := logbook.Split(text)
	n, err := Number(number)
	if err != nil || n < 0 || n > 1e9 {
		return 0, refuse("write 2000, or 2L for what is kept in mL", "%q is not an amount of %s", text, s.Unit)
	}
	if unit == "" || strings.EqualFold(unit, s.Unit) {
		return n, nil
	}
	litres, err := water.Litres(n, unit)
	if err != nil {
		return 0, refuse("leave the unit out: "+s.Name+" is counted in "+s.Unit, "%q is not an amount of %s", text,
			s.Unit)
	}
	each, err := water.Litres(1, s.Unit)
	if err != nil {
		return 0, refuse("leave the unit out", "%s is counted in %s, not in %s", s.Name, s.Unit, unit)
	}
	return significant(litres / each), nil
}

// A day's careful change of 100 L takes between 1 and 50 mL of what is commonly sold (common practice, no source); a
// label that asks for oddTimes less or more is asked about.
const (
	leastDailyML = 1.0
	mostDailyML  = 50.0
	oddTimes     = 20
)

// Describe refuses a description that tells no strength, or the rise of what is not dosed, and says why one may be a
// slip.
func (c Context) Describe(s logbook.Supplement) (doubt string, err error) {
	if err := logbook.Validate(s); err != nil {
		return "", err
	}
	var why []string
	if salt, err := water.FindSalt(s.Salt); err == nil && salt.Formula == "CaCl2" {
		why = append(why, s.Salt+" is taken for the salt without water; flakes and most pellets hold some (CaCl2.2H2O): "+
			"which does the package name?")
	}
	for _, l := range s.Label {
		p, ok := logbook.FindParameter(c.Parameters, l.Parameter)
		if !ok {
			continue
		}
		if err := p.Doseable(); err != nil {
			return "", err
		}
		strength, err := s.Strength(p)
		if err != nil {
			return "", err
		}
		ml, err := strength.Millilitres(p.MaxRise, 100)
		switch {
		case err != nil || !(p.MaxRise > 0):
		case ml < leastDailyML/oddTimes:
			why = append(why, fmt.Sprintf("%s mL would do for 100 L and a day, which is uncommonly strong",
				water.FormatSignificant(ml, 2)))
		case ml > mostDailyML*oddTimes:
			why = append(why, fmt.Sprintf("100 L would take %s mL a day for %s, which is uncommonly weak",
				water.FormatSignificant(ml, 2), words.RiseAmount(p, p.MaxRise)))
		}
	}
	return strings.Join(why, "; "), nil
}

// A net volume outside these is asked about, as is one that is so many times less or more than the one before (common
// practice, no source).
const (
	leastLitres = 20
	mostLitres  = 20000
	otherTimes  = 2
)

const volumeHint = "write 450, or 100 gal (US gallons), or 100 imp gal"

// thousands is a number whose point may part thousands.
var thousands = pattern(`^[0-9]{1,3}\.[0-9]{3}$`)

// Volume reads the net volume of a tank, in litres; a bare number is litres, and nothing is 0, not known.
func Volume(text string) (litres float64, err error) {
	if strings.TrimSpace(text) == "" {
		return 0, nil
	}
	value, unit := logbook.Split(text)
	v, err := Number(value)
	if err == nil {
		v, err = water.Litres(v, cmp.Or(unit, "L"))
	}
	if err != nil || !(v > 0) {
		return 0, refuse(volumeHint, "%q is not a volume", text)
	}
	return significant(v), nil
}

// DoubtVolume says why a net volume, read from text, is likely a slip, and what it does to what is dosed.
func (c Context) DoubtVolume(text string, litres float64) string {
	was := c.Tank.VolumeL
	if litres == was || litres == 0 {
		return ""
	}
	var why []string
	size := words.Litres(litres)
	value, _ := logbook.Split(text)
	switch {
	case thousands().MatchString(value):
		why = append(why, fmt.Sprintf("%s is taken for %s: were %s meant?", value, size, words.Litres(1000*litres)))
	case litres < leastLitres:
		why = append(why, size+" is little water for a tank: are these litres?")
	case litres > mostLitres:
		why = append(why, size+" is much water for a tank: are these litres?")
	}
	if was == 0 || litres > was/otherTimes && litres < was*otherTimes {
		return strings.Join(why, "; ")
	}
	why = append(why, fmt.Sprintf("the volume was %s and becomes %s", words.Litres(was), size))
	for _, d := range c.Dosings {
		p, ok := logbook.FindParameter(c.Parameters, d.Parameter)
		if !ok {
			continue
		}
		ml := c.millilitres(Rise{p, d.PerDay, d.Unit}, d.Supplement)
		if rise, err := p.CanonicalChange(d.PerDay, d.Unit); ml != "" && err == nil {
			why = append(why, fmt.Sprintf("%s a day of %s are noted to raise %s; a doser that gives them still raises %s: "+
				"note that dosing anew", ml, d.Supplement, words.Rise(p, rise), words.Rise(p, rise*was/litres)))
		}
	}
	return strings.Join(why, "; ")
}
