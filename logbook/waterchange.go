package logbook

import (
	"strconv"
	"time"
)

// Amount is a number with its unit, as typed.
type Amount struct {
	Value float64
	Unit  string
}

// WaterChange replaces a fraction of the water by new water, of which some levels may be known.
type WaterChange struct {
	ID       ID
	Time     time.Time
	Tank     string
	Fraction float64           // 0 < Fraction <= 1
	New      map[string]Amount // levels of the new water, by parameter
	Note     string
	Who      string
}

func (WaterChange) Kind() Kind         { return KindWaterChange }
func (w WaterChange) EntryID() ID      { return w.ID }
func (w WaterChange) When() time.Time  { return w.Time }
func (w WaterChange) TankName() string { return w.Tank }

func (w WaterChange) fields(v visitor) Record {
	v.entry(&w.ID, &w.Time, &w.Tank)
	v.number("fraction", "the fraction", &w.Fraction, needed)
	eachOf(v, "new", "levels", &w.New, func(a *Amount, v visitor, parameter string) {
		v.number("value", "the "+strconv.Quote(parameter)+" of the new water", &a.Value, needed|standsAt)
		v.text("unit", "a unit of the new water", &a.Unit, ofUnit|elseCanonical)
	})
	v.text("note", "the note", &w.Note, freeText)
	byWhom(v, &w.Who)
	v.check(func(c *checks) {
		if w.Fraction <= 0 || w.Fraction > 1 {
			c.fail("the fraction %s is not above 0 and at most 1", number(w.Fraction))
		}
	})
	return w
}
