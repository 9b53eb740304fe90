package words

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

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

// Day is a moment's day, in its own zone.
func Day(t time.Time) string {
	if t.IsZero() {
		return "no day"
	}
	return t.Format("2 Jan 2006")
}

// ShortDay is a day of this year or the last.
func ShortDay(t time.Time) string { return t.Format("2 Jan") }

// NearDay is a day seen from another one: with its year where that is not the same and the day not within the next
// twelve months.
func NearDay(day, now time.Time) string {
	if day.Year() == now.Year() || !day.Before(now) && day.Before(now.AddDate(1, 0, 0)) {
		return ShortDay(day)
	}
	return Day(day)
}

// OfDay says of which day something is, ", of 30 Nov 2025", seen from now; "" of today.
func OfDay(day, now time.Time) string {
	if day = day.In(now.Location()); day.Format(time.DateOnly) == now.Format(time.DateOnly) {
		return ""
	}
	return ", of " + NearDay(day, now)
}

// Weekday is a day of the weeks to come.
func Weekday(t time.Time) string { return t.Format("Mon 2 Jan") }

// Moment is a moment as people read it, in its own zone.
func Moment(t time.Time) string { return t.Format("2006-01-02 15:04") }

// Days is a length of time in whole days: "1 day", "12 days".
func Days(days float64) string { return Plural(int(math.Floor(days)), "day", "days") }

// Every is how often something comes round: "every day", "every 3.5 days".
func Every(days float64) string {
	whole := len(water.Format(math.Floor(days), 0))
	if text := water.FormatAtMost(days, whole+1); text != "1" {
		return "every " + text + " days"
	}
	return "every day"
}

// Midnights counts those between two moments, in the zone of now: yesterday evening is one day ago in the morning.
func Midnights(from, to time.Time, zone *time.Location) int {
	date := func(t time.Time) time.Time {
		y, m, d := t.In(zone).Date()
		return time.Date(y, m, d, 12, 0, 0, 0, time.UTC)
	}
	return int(math.Round(date(to).Sub(date(from)).Hours() / 24))
}

// Age is how long ago something was, in short: "today", "3 d", "20 w", "2 y".
func Age(then, now time.Time) string {
	text := "today"
	if n, unit := age(then, now); n > 0 {
		text = fmt.Sprintf("%d %s", n, unit[:1])
	}
	return text
}

// Ago is Age in full: "today", "1 day ago", "20 weeks ago".
func Ago(then, now time.Time) string {
	text := "today"
	if n, unit := age(then, now); n > 0 {
		text = Plural(n, unit, unit+"s") + " ago"
	}
	return text
}

func age(then, now time.Time) (n int, unit string) {
	switch days := Midnights(then, now, now.Location()); {
	case days < 100:
		return days, "day"
	case days < 700:
		return days / 7, "week"
	default:
		return days / 365, "year"
	}
}

// Due is how far away the day is on which something is due, in short: "3 d late", "today", "in 3 d".
func Due(day, now time.Time) string {
	switch days := Midnights(now, day, now.Location()); {
	case days < 0:
		return fmt.Sprintf("%d d late", -days)
	case days == 0:
		return "today"
	default:
		return fmt.Sprintf("in %d d", days)
	}
}

// Span is a range of days to come, in short: "9–31 d", "62+ d" where its end is out of sight (+Inf), "any day" where
// only its beginning is here.
func Span(lo, hi float64) string {
	switch {
	case !math.IsInf(hi, 0):
		return fmt.Sprintf("%.0f–%.0f d", lo, hi)
	case lo < 0.5:
		return "any day"
	default:
		return fmt.Sprintf("%.0f+ d", lo)
	}
}
