package logbook

import "time"

// Stock is something that is used up and refilled: a dosing reservoir, a reagent, a roll of media. It is a definition,
// keyed by tank and name. It runs down by the dosing of Supplement, or by the tests of Parameter made with Method, or by
// PerDay; whichever is given.
type Stock struct {
	Tank       string
	Name       string  // field "stock" in JSON Lines
	Unit       string  // "mL", "tests", "m"
	Supplement string  // reservoir: what is in it
	Parameter  string  // reagent: what it tests
	Method     string  // reagent: by which method; "" means any
	PerDay     float64 // anything else: use per day in Unit
}

func (Stock) Kind() Kind { return KindStock }

// Refill says how much of a stock there was at a moment: after filling up, or when looked at.
type Refill struct {
	ID      ID
	Time    time.Time
	Tank    string
	Stock   string
	Amount  float64 // in the stock's unit
	Expires string  // date, 2006-01-02; "" if it does not
	Note    string
}

func (Refill) Kind() Kind         { return KindRefill }
func (r Refill) EntryID() ID      { return r.ID }
func (r Refill) When() time.Time  { return r.Time }
func (r Refill) TankName() string { return r.Tank }
