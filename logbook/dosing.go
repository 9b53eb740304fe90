package logbook

import (
	"strconv"
	"time"
)

// Dosing is a standing daily amount. It holds from its time until the next one for the same tank, parameter and
// supplement; PerDay 0 stops it. PerDay is the rise in the whole tank's water per day.
type Dosing struct {
	ID         ID
	Time       time.Time
	Tank       string
	Parameter  string
	PerDay     float64 // in Unit, as typed
	Unit       string
	Supplement string
	Note       string
	Who        string // who noted it; "" if not told
}

func (Dosing) Kind() Kind         { return KindDosing }
func (d Dosing) EntryID() ID      { return d.ID }
func (d Dosing) When() time.Time  { return d.Time }
func (d Dosing) TankName() string { return d.Tank }

func (d Dosing) fields(v visitor) Record {
	v.entry(&d.ID, &d.Time, &d.Tank)
	added(v, &d.Parameter, "per_day", "the rise per day", &d.PerDay, &d.Unit, &d.Supplement, &d.Note, &d.Who)
	return d
}

// Dose is a one-off addition; Amount is the rise in the whole tank's water.
type Dose struct {
	ID         ID
	Time       time.Time
	Tank       string
	Parameter  string
	Amount     float64 // in Unit, as typed
	Unit       string
	Supplement string
	Note       string
	Who        string // who noted it; "" if not told
}

func (Dose) Kind() Kind         { return KindDose }
func (d Dose) EntryID() ID      { return d.ID }
func (d Dose) When() time.Time  { return d.Time }
func (d Dose) TankName() string { return d.Tank }

func (d Dose) fields(v visitor) Record {
	v.entry(&d.ID, &d.Time, &d.Tank)
	added(v, &d.Parameter, "amount", "the amount", &d.Amount, &d.Unit, &d.Supplement, &d.Note, &d.Who)
	return d
}

// added lists what dosings and doses have in common: how much something raises a parameter.
func added(v visitor, parameter *string, name, what string, amount *float64, unit, supplement, note, who *string) {
	v.text("parameter", "the parameter", parameter, needed|ofParameter)
	v.number(name, what, amount, needed|notNegative|risesBy)
	v.text("unit", "the unit", unit, shown|ofUnit|elseCanonical)
	v.text("supplement", "the supplement", supplement, shown)
	v.text("note", "the note", note, freeText)
	byWhom(v, who)
}

// byWhom is the last field of all that is noted down but readings, which have an encoding of their own.
func byWhom(v visitor, who *string) {
	v.last(*who != "", func() { v.text("who", "who noted it", who, 0) })()
}

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
