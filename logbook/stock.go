package logbook

import (
	"time"

	"leadline/logbook/water"
)

// Stock is something that is used up and refilled: a dosing reservoir, a reagent, a roll of media. It is a definition,
// keyed by tank and name. It runs down by the dosing of Supplement, or by the tests of Parameter made with Method, or
// by PerDay; whichever is given.
type Stock struct {
	Tank       string
	Name       string  // field "stock" in JSON Lines
	Unit       string  // "mL", "tests", "m"
	Supplement string  // reservoir: what is in it
	Parameter  string  // reagent: what it tests
	Method     string  // reagent: by which method; "" means any
	PerDay     float64 // anything else: use per day in Unit

	Shared []string // other tanks that a reservoir or a reagent serves as well
}

func (Stock) Kind() Kind         { return KindStock }
func (s Stock) TankName() string { return s.Tank }

// Serves are the tanks whose tests or dosing use it up, its own first.
func (s Stock) Serves() []string { return append([]string{s.Tank}, s.Shared...) }

func (s Stock) fields(v visitor) Record {
	v.key(firstKey, "tank", "the tank of the stock", &s.Tank, 0)
	v.key(secondKey, "stock", "the stock", &s.Name, 0)
	v.text("unit", "the unit of the stock", &s.Unit, needed)
	v.text("supplement", "the supplement", &s.Supplement, 0)
	v.text("parameter", "the parameter", &s.Parameter, ofParameter)
	v.text("method", "the method", &s.Method, 0)
	v.number("per_day", "the use per day", &s.PerDay, notNegative)
	v.last(len(s.Shared) > 0, func() { v.texts("shared", "a tank that shares the stock", &s.Shared, 0) })()
	v.check(func(c *checks) {
		if ways := countTrue(s.Supplement != "", s.Parameter != "", s.PerDay != 0); ways != 1 {
			c.fail("stock %q has %d reasons to run down; it needs a supplement, a parameter or a use per day, one of the three",
				s.Name, ways)
		}
		if len(s.Shared) > 0 && s.PerDay != 0 {
			c.fail("stock %q is used so much a day: it serves no other tanks", s.Name)
		}
		if s.Method != "" && s.Parameter == "" {
			c.fail("stock %q names the method %q and not the parameter that it tests", s.Name, s.Method)
		}
		if s.Supplement != "" {
			if _, err := water.Litres(1, s.Unit); err != nil {
				c.fail("stock %q holds a supplement: %v", s.Name, err)
			}
		}
	})
	return s
}

// Refill says how much of a stock there was at a moment: after filling up, or when looked at.
type Refill struct {
	ID      ID
	Time    time.Time
	Tank    string
	Stock   string
	Amount  float64 // in the stock's unit
	Expires string  // date, 2006-01-02; "" if it does not
	Note    string
	Who     string
}

func (Refill) Kind() Kind         { return KindRefill }
func (r Refill) EntryID() ID      { return r.ID }
func (r Refill) When() time.Time  { return r.Time }
func (r Refill) TankName() string { return r.Tank }

func (r Refill) fields(v visitor) Record {
	v.entry(&r.ID, &r.Time, &r.Tank)
	v.text("stock", "the stock", &r.Stock, needed)
	v.number("amount", "the amount", &r.Amount, needed|notNegative)
	v.text("expires", "the expiry", &r.Expires, 0)
	v.text("note", "the note", &r.Note, freeText)
	byWhom(v, &r.Who)
	v.check(func(c *checks) {
		if _, err := time.Parse(time.DateOnly, r.Expires); err != nil && r.Expires != "" {
			c.fail("the expiry %q is not a date such as 2026-10-31", r.Expires)
		}
	})
	return r
}
