package logbook

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Tank is one body of water.
type Tank struct {
	Name     string
	VolumeL  float64         // net water volume in litres; 0: not told
	Timezone string          // IANA name; "" means UTC
	Since    string          // when it was set up, as typed; for posts
	About    string          // what is kept in it; for posts
	Order    Order           // the keeper's own order of its parameters, by name; empty: the usual one
	Bands    map[string]Band // by parameter name, numbers in Band.Unit as typed

	Was      []string  // the names that it had, and those of tanks that became part of it, in order
	Renamed  time.Time // when it got its name; zero: with the first line that named it
	Retired  time.Time // when it was last taken out of use, if it ever was,
	Returned time.Time // and when it was last brought back
	Apart    bool      // there is another whose name differs in capital and small letters alone, as old books could have
}

// Like gives a tank the bands and the order of another, and its time zone too unless it has one of its own.
func (t *Tank) Like(other Tank, ownZone bool) {
	bands := maps.Clone(t.Bands)
	if bands == nil {
		bands = map[string]Band{}
	}
	maps.Copy(bands, other.Bands)
	if t.Bands, t.Order = bands, other.Order; !ownZone {
		t.Timezone = other.Timezone
	}
}

// InUse reports whether a tank is not retired at a moment.
func (t Tank) InUse(at time.Time) bool {
	return t.Retired.IsZero() || at.Before(t.Retired) || !t.Returned.Before(t.Retired)
}

// SetUse retires a tank at a moment, or brings it back; what was said last counts, whatever the clock did.
func (t *Tank) SetUse(inUse bool, at time.Time) {
	at = at.Truncate(time.Second) // as the moments that answers are for
	switch {
	case inUse == t.InUse(at):
	case inUse:
		t.Returned = laterOf(at, t.Retired)
	default:
		t.Retired = laterOf(at, t.Returned.Add(time.Nanosecond))
	}
}

func (Tank) Kind() Kind { return KindTank }

func (t Tank) fields(v visitor) Record {
	v.key(onlyKey, "tank", "the tank", &t.Name, 0)
	v.number("volume_l", "the volume", &t.VolumeL, notNegative)
	v.text("timezone", "the time zone", &t.Timezone, freeText)
	v.text("since", "the date of setting up", &t.Since, freeText)
	v.text("about", "the text about the tank", &t.About, freeText)
	told := len(t.Was) > 0 || !t.Renamed.IsZero() || !t.Retired.IsZero() || !t.Returned.IsZero() ||
		t.Apart
	order := v.last(len(t.Order) > 0 || told, func() {
		v.texts("order", "a parameter of the order", (*[]string)(&t.Order), ofParameter)
	})
	names := v.last(told, func() {
		v.texts("was", "a former name of the tank", &t.Was, 0)
		v.moment("renamed", "the time of the new name", &t.Renamed, 0)
		v.moment("retired", "the time of retiring", &t.Retired, 0)
		v.moment("returned", "the time of bringing back", &t.Returned, 0)
	})
	apart := v.last(t.Apart, func() { v.yes("apart", &t.Apart) })
	eachOf(v, "bands", "bands", &t.Bands, (*Band).fields)
	order()
	names()
	apart()
	v.check(func(c *checks) {
		if _, err := time.LoadLocation(t.Timezone); err != nil || t.Timezone == "Local" {
			c.fail("the time zone %q is not known; it should be a name such as Pacific/Auckland", t.Timezone)
		}
	})
	return t
}

// Band is where the keeper wants a parameter, and how often it is to be tested. Nil pointers are unset.
type Band struct {
	Low, High *float64
	Floor     *float64 // below it the parameter counts as bottomed out
	Unit      string   // unit of the three; "" means the canonical unit
	EveryDays *float64 // days between tests; nil means the parameter's usual
}

func (b *Band) fields(v visitor, parameter string) {
	what := "the band of " + strconv.Quote(parameter)
	v.maybe("low", "a bound in "+what, &b.Low, 0)
	v.maybe("high", "a bound in "+what, &b.High, 0)
	v.maybe("floor", "a bound in "+what, &b.Floor, 0)
	v.text("unit", "the unit of "+what, &b.Unit, ofUnit)
	v.maybe("every_days", "the days between tests in "+what, &b.EveryDays, notNegative)
	v.check(func(c *checks) {
		if b.Low != nil && b.High != nil && *b.Low > *b.High {
			c.fail("%s runs from %s down to %s", what, number(*b.Low), number(*b.High))
		}
	})
}

// InUse leaves out the tanks that are retired at a moment, which may be another for each. Where none is in use it
// leaves out none.
func InUse(tanks []Tank, at func(Tank) time.Time) []Tank {
	used := slices.DeleteFunc(slices.Clone(tanks), func(t Tank) bool { return !t.InUse(at(t)) })
	if len(used) == 0 {
		return tanks
	}
	return used
}

// Zone is the tank's time zone; UTC where it names none, or one that this system does not know.
func (t Tank) Zone() *time.Location {
	zone, err := time.LoadLocation(t.Timezone)
	if err != nil {
		return time.UTC
	}
	return zone
}

// Order is an order of parameters as a keeper goes through them, by name or code. Parameters it does not list come
// after those it lists.
type Order []string

// Rank is where a parameter stands in the order, from 0; all that are not listed share the last.
func (o Order) Rank(p Parameter) int {
	i := slices.IndexFunc(o, func(s string) bool {
		return strings.EqualFold(s, p.Name) || p.Code != "" && strings.EqualFold(s, p.Code)
	})
	if i < 0 {
		return len(o)
	}
	return i
}

// Sort puts parameters in the order; those not listed keep the order they have.
func (o Order) Sort(ps []Parameter) {
	slices.SortStableFunc(ps, func(a, b Parameter) int { return cmp.Compare(o.Rank(a), o.Rank(b)) })
}

// OrderOr is the tank's own order, or the usual one where it has none.
func (t Tank) OrderOr(usual Order) Order {
	if len(t.Order) > 0 {
		return t.Order
	}
	return usual
}
