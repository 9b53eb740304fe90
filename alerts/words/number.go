package words

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"leadline/logbook"
	"leadline/logbook/water"
)

// Values of parameters come in their canonical unit, and are printed in the one that the parameter is shown in.

// Unit is the unit that a parameter is shown in.
func Unit(p logbook.Parameter) string { return OneLine(p.ShownUnit()) }

// Number prints a value of the parameter without its unit: in the parameter's decimals, and one that they would show as
// nothing to two digits, down to a hundredth of the last decimal.
func Number(p logbook.Parameter, v float64) string { return numberIn(p, p.Shown, v) }

// Finer prints a change or a rate of the parameter, to one decimal more than a level, without its unit.
func Finer(p logbook.Parameter, v float64) string { return Change(p, v, 1) }

// Quantity prints a value of the parameter with its unit.
func Quantity(p logbook.Parameter, v float64) string { return WithUnit(Number(p, v), Unit(p)) }

// Change prints a difference or a rate of the parameter without its unit, in so many decimals more than a value has:
// half a degree of a change is no temperature.
func Change(p logbook.Parameter, v float64, more int) string {
	return water.Format(p.Shown.ChangeFromCanonical(v), p.DigitsIn(p.Shown)+more)
}

// SignedChange is Change with the sign.
func SignedChange(p logbook.Parameter, v float64, more int) string {
	s := Change(p, v, more)
	if p.Shown.ChangeFromCanonical(v) > 0 && s != Change(p, 0, more) {
		return "+" + s
	}
	return s
}

// Rise is a difference or a rate as Quantity prints a value.
func Rise(p logbook.Parameter, v float64) string {
	return WithUnit(number(p.Shown.ChangeFromCanonical(v), p.DigitsIn(p.Shown)), Unit(p))
}

// RiseAmount is a difference or a rate as Amount prints what was typed.
func RiseAmount(p logbook.Parameter, v float64) string {
	return Amount(p.Shown.ChangeFromCanonical(v), Unit(p))
}

// Range is a value with its interval and without its unit, "0.031 (0.024–0.039)".
func Range(p logbook.Parameter, v, lo, hi float64) string {
	return fmt.Sprintf("%s (%s)", Number(p, v), Between(p, lo, hi))
}

// QuantityRange is a value with its unit and its interval, "0.031 mg/L (0.024–0.039)".
func QuantityRange(p logbook.Parameter, v, lo, hi float64) string {
	return fmt.Sprintf("%s (%s)", Quantity(p, v), Between(p, lo, hi))
}

// Between is an interval without its unit, "0.024–0.039".
func Between(p logbook.Parameter, lo, hi float64) string {
	return Number(p, lo) + "–" + Number(p, hi)
}

// NumberIn prints a canonical value in a unit of the parameter, without the unit: as finely as the canonical number is
// shown. A unit that the parameter does not have gives the canonical number.
func NumberIn(p logbook.Parameter, unit string, v float64) string {
	u, err := p.FindUnit(unit)
	if err != nil {
		u = water.Unit{}
	}
	return numberIn(p, u, v)
}

func numberIn(p logbook.Parameter, u water.Unit, v float64) string {
	return number(u.FromCanonical(v), p.DigitsIn(u))
}

func number(v float64, digits int) string {
	if last := math.Pow10(-digits); math.Abs(v) < last/2 && math.Abs(v) >= last/100 {
		return water.FormatSignificant(v, 2)
	}
	return water.Format(v, digits)
}

// Plain is a number as it was typed.
func Plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// WithUnit is a number with its unit, which may be none.
func WithUnit(number, unit string) string { return strings.TrimSpace(number + " " + OneLine(unit)) }

// Amount is what was typed with its unit, to four digits at most: one that was worked out of a volume and a recipe has
// more, which nobody knows.
func Amount(v float64, unit string) string { return WithUnit(water.FormatAtMost(v, 4), unit) }

// Litres is a volume of water, such as "450 L", "4.5 L", "20000 L".
func Litres(v float64) string { return WithUnit(water.FormatAtMost(v, 6), "L") }

// Share is a part of the water: "15 %".
func Share(fraction float64) string { return Amount(100*fraction, "%") }

// Percent prints a chance, never as a certainty.
func Percent(p float64) string {
	switch {
	case math.IsNaN(p):
		return "unknown"
	case p < 0.01:
		return "under 1 %"
	case p > 0.99:
		return "over 99 %"
	default:
		return fmt.Sprintf("%.0f %%", 100*p)
	}
}
