package entry

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
)

// refuse is why a text was not accepted, and what to do about it.
func refuse(hint, format string, args ...any) logbook.Refusal {
	return logbook.Refusal{Reason: fmt.Sprintf(format, args...), Hint: hint}
}

// Number reads a plain number, with a point or a decimal comma. One that can be read in two ways is a Refusal.
func Number(text string) (float64, error) {
	text, err := logbook.PointFor(text)
	if err != nil {
		return 0, err
	}
	v, bound, err := logbook.ParseValue(text)
	if err != nil || bound != logbook.Exact {
		return 0, fmt.Errorf("%q is not a number", strings.TrimSpace(text))
	}
	return v, nil
}

// Share reads a part of the water, "15%" or, where the volume is known, "60 L". bare is the unit of a number that has
// none behind it: "%", or "" to refuse it, since 60 may be either.
func Share(text string, t logbook.Tank, bare string) (share float64, doubt string, err error) {
	value, unit := logbook.Split(text)
	v, err := Number(value)
	if err != nil {
		return 0, "", refuse(shareHint, "%q is not a share of the water", text)
	}
	switch unit = cmp.Or(unit, bare); unit {
	case "":
		return 0, "", refuse(fmt.Sprintf("write %s%% or %[1]sL", value), "a water change of %s: percent or litres?", value)
	case "%":
		v /= 100
	default:
		litres, err := water.Litres(v, unit)
		if err != nil {
			return 0, "", refuse(shareHint, "%q is neither %% nor a volume", unit)
		}
		if t.VolumeL <= 0 {
			return 0, "", refuse("give a percentage", "the volume of %s is not known", t.Name)
		}
		v = litres / t.VolumeL
	}
	if !(v > 0 && v <= 1) {
		return 0, "", refuse(shareHint, "a water change of %s is not between nothing and all of the water", text)
	}
	if v > mostOfAShare {
		doubt = fmt.Sprintf("a water change of %s at once is more than half of the water", words.Share(v))
	}
	return v, doubt, nil
}

// mostOfAShare is the share of the water above which a change at once is asked about (common practice, no source).
const mostOfAShare = 0.5

const shareHint = "write 15%, or litres such as 60L"

// Amount reads a plain number in a unit of the parameter, the one behind it, else the one given, else the one shown: a
// rise, or a level.
func Amount(p logbook.Parameter, text, unit string) (logbook.Amount, error) {
	value, typed := logbook.Split(text)
	u, err := p.TypedUnit(cmp.Or(typed, unit))
	if err != nil {
		return logbook.Amount{}, err
	}
	v, err := Number(value)
	return logbook.Amount{Value: v, Unit: u.Name()}, err
}

// Level reads a level of new water, and says why it may be a slip.
func Level(p logbook.Parameter, text string) (level logbook.Amount, doubt string, err error) {
	if level, err = Amount(p, text, ""); err != nil {
		return level, "", err
	}
	r, err := logbook.ParseReading(p, strconv.FormatFloat(level.Value, 'g', -1, 64), level.Unit)
	if err != nil {
		return level, "", err
	}
	why, _ := logbook.Unlikely(p, r)
	if why != "" {
		why = "new water, " + p.Name + ": " + why
	}
	return level, why, nil
}

// LevelIn is Level in the parameter's canonical unit.
func LevelIn(p logbook.Parameter, text string) (level float64, doubt string, err error) {
	if _, doubt, err = Level(p, text); err == nil {
		level, err = Wanted(p, text)
	}
	return level, doubt, err
}

// Wanted reads the level a plan is to reach, in the parameter's canonical unit.
func Wanted(p logbook.Parameter, text string) (float64, error) {
	a, err := Amount(p, text, "")
	if err != nil {
		return 0, err
	}
	u, err := p.FindUnit(a.Unit)
	return u.Canonical(a.Value), err
}

// PerDay reads the greatest change of a level in a day, in the parameter's canonical unit; nothing is 0.
func PerDay(p logbook.Parameter, text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	a, err := Amount(p, text, "")
	if err == nil && !(a.Value > 0) {
		err = fmt.Errorf("%s is not more than nothing", text)
	}
	if err != nil {
		return 0, err
	}
	return p.CanonicalChange(a.Value, a.Unit)
}

// Assignments parts "alk=8.3 po4=5 ppb P" into the names and what each is to be, in their order; an error names a
// word that belongs to none.
func Assignments(text string) (pairs [][2]string, err error) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ';' }) {
		name, value, ok := strings.Cut(word, "=")
		switch {
		case ok:
			pairs = append(pairs, [2]string{name, value})
		case len(pairs) == 0:
			return nil, fmt.Errorf("%q: write parameter=value, such as alk=8.3", word)
		default:
			pairs[len(pairs)-1][1] += " " + word
		}
	}
	return pairs, nil
}
