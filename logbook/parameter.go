package logbook

import (
	"cmp"
	"fmt"
	"math"

	"leadline/logbook/water"
)

// Parameter is a thing that is measured. Names are lower case; the standard ones are listed by Standard.
type Parameter struct {
	Name   string // "nitrate"
	Code   string // "no3"
	Unit   string // canonical unit; every Value in the book is in it
	Digits int    // decimals shown in the canonical unit

	Min, Max         float64 // outside: impossible, refused
	AskLow, AskHigh  float64 // outside: unlikely, asked once and then kept
	EveryDays        float64 // how often it is commonly tested; 0: only on occasion
	MaxRise, MaxFall float64 // greatest careful change per day; 0: none known
	Wobble           float64 // ordinary relative wandering of the level, see trend.Settings
	Nutrient         bool    // runs out: the floor rules make sense for it
	Generic          Method  // what is assumed of a reading whose method is not described

	Shown water.Unit // what it is shown and typed in, as Book.ShowIn says; zero: Unit. It is not kept in the book
}

func (Parameter) Kind() Kind { return KindParameter }

func (p Parameter) fields(v visitor) Record {
	v.key(onlyKey, "parameter", "the parameter", &p.Name, 0)
	v.text("code", "the code", &p.Code, 0)
	v.text("unit", "the unit", &p.Unit, 0)
	v.count("digits", &p.Digits)
	v.read(p.settle)
	v.group(func() {
		limits, asked := shownIf(p.Min != 0 || p.Max != 0), shownIf(p.AskLow != 0 || p.AskHigh != 0)
		v.number("min", "a limit", &p.Min, limits)
		v.number("max", "a limit", &p.Max, limits)
		v.number("ask_low", "a limit", &p.AskLow, asked)
		v.number("ask_high", "a limit", &p.AskHigh, asked)
		v.number("every_days", "the days between tests", &p.EveryDays, notNegative)
		v.number("max_rise", "the greatest rise in a day", &p.MaxRise, notNegative)
		v.number("max_fall", "the greatest fall in a day", &p.MaxFall, notNegative)
		v.number("wobble", "the ordinary wandering", &p.Wobble, notNegative)
	})
	v.yes("nutrient", &p.Nutrient)
	v.object("generic", true, func() {
		v.read(func(*jsonFile) { p.Generic.Parameter = p.Name })
		v.text("method", "the method", &p.Generic.Name, 0)
		v.text("", "the parameter of the method", &p.Generic.Parameter, 0)
		p.Generic.scale(v, 0)
	})
	v.check(func(c *checks) {
		if p.Digits < 0 || p.Digits > 9 {
			c.fail("%d decimals are asked for, and 0 to 9 are possible", p.Digits)
		}
		if p.Min > p.Max {
			c.fail("the limits run from %s down to %s", number(p.Min), number(p.Max))
		}
	})
	return p
}

// settle brings names and unit of a parameter that is read into their form, and refuses what others have.
func (p *Parameter) settle(f *jsonFile) {
	refuse := func(field, value, reason string) { f.at.fail(field, Refusal{Value: value, Reason: reason}) }
	isBlank := p.Name != "" && trim(p.Name) == ""
	p.Name, p.Code, p.Unit = trim(p.Name), trim(p.Code), trim(p.Unit)
	if isBlank {
		refuse("parameter", "", "the name is blank")
	}
	if units := water.Units(p.Name); len(units) > 0 && (p.Unit != "" || !f.isChange) {
		if p.Unit != "" && p.Unit != units[0].Name() {
			refuse("unit", p.Unit, fmt.Sprintf("%s is kept in %s, not in %s", Clean(p.Name), units[0], quote(p.Unit)))
		}
		p.Unit = units[0].Name()
	}
	if old, ok := FindParameter(f.typed.parameters, p.Code); ok && old.Name != p.Name {
		refuse("code", p.Code, quote(p.Code)+" is taken by "+Clean(old.Name))
	}
	if old, ok := FindParameter(f.typed.parameters, p.Name); ok && old.Name != p.Name {
		refuse("parameter", p.Name, quote(p.Name)+" is taken by "+Clean(old.Name))
	}
	f.of = &typedParameter{Parameter: *p, units: map[string]*typedUnit{}}
}

// FindUnit reads a unit as people type it; "" is the canonical one. The error is a Refusal that lists what is accepted,
// and names the one that was probably meant.
func (p Parameter) FindUnit(text string) (water.Unit, error) {
	units := water.Units(p.Name)
	find := water.Find
	if len(units) == 0 { // a parameter of the keeper's own
		units = water.CustomUnits(p.Unit)
		find = func(_, text string) (water.Unit, error) { return water.FindCustom(p.Unit, text) }
	}
	if text == "" {
		return units[0], nil
	}
	u, err := find(p.Name, text)
	if err != nil {
		known := gather(units, water.Unit.Name)
		err = refuse(text, DidYouMean(text, known, "write "+p.Unit+", or one of the others"), "%s", err)
	}
	return u, err
}

// ShownUnit is the name of the unit that the parameter is shown and typed in.
func (p Parameter) ShownUnit() string { return cmp.Or(p.Shown.Name(), p.Unit) }

// TypedUnit is FindUnit for what a person typed now: "" is the unit that the parameter is shown in.
func (p Parameter) TypedUnit(text string) (water.Unit, error) {
	return p.FindUnit(cmp.Or(text, p.Shown.Name()))
}

// DigitsIn is how many decimals show a value in a unit of the parameter as finely as Digits do in the canonical one.
func (p Parameter) DigitsIn(u water.Unit) int {
	step := math.Abs(u.ChangeFromCanonical(math.Pow10(-p.Digits)))
	return max(0, int(math.Ceil(-math.Log10(step)-0.3)))
}

// format is a canonical value, or a rise, with the parameter's decimals, in the unit shown.
func (p Parameter) format(v float64) string {
	return water.Format(p.Shown.FromCanonical(v), p.DigitsIn(p.Shown))
}

func (p Parameter) withUnit(v float64) string { return withUnit(p.format(v), p.ShownUnit()) }

// limit is a canonical value that bounds others, in the unit shown.
func (p Parameter) limit(v float64) string {
	if shown := p.Shown.FromCanonical(v); shown != v {
		return water.FormatAtMost(shown, 4)
	}
	return formatNumber(v)
}

func (p Parameter) between(low, high float64) string {
	return p.limit(low) + " to " + withUnit(p.limit(high), p.ShownUnit())
}

// CanonicalChange converts a rise, or a rate, into the canonical unit.
func (p Parameter) CanonicalChange(v float64, unit string) (float64, error) {
	u, err := p.FindUnit(unit)
	if err != nil {
		return 0, err
	}
	return u.CanonicalChange(v)
}
