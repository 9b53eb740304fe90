package entry

import (
	"fmt"
	"strings"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
)

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
		why = append(why, s.Salt+" is taken for the salt without water; flakes and most pellets hold some (CaCl2.2H2O): which does the package name?")
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
			why = append(why, fmt.Sprintf("%s mL would do for 100 L and a day, which is uncommonly strong", water.FormatSignificant(ml, 2)))
		case ml > mostDailyML*oddTimes:
			why = append(why, fmt.Sprintf("100 L would take %s mL a day for %s, which is uncommonly weak",
				water.FormatSignificant(ml, 2), words.RiseAmount(p, p.MaxRise)))
		}
	}
	return strings.Join(why, "; "), nil
}
