package logbook

import "time"

// Bound says how much of its value a reading tells.
type Bound int8

const (
	Exact Bound = iota // the method gave a number
	Below              // "<0.02"
	Above              // ">50"
)

// Sign is what stands before a value: "<", ">" or nothing.
func (b Bound) Sign() string {
	switch b {
	case Below:
		return "<"
	case Above:
		return ">"
	}
	return ""
}

// Reading is one test result.
type Reading struct {
	ID        ID
	Time      time.Time // with the offset it was logged with
	Tank      string
	Parameter string
	Text      string // the value as typed: "4.2", "<0.02"
	Unit      string // the unit as typed
	Bound     Bound
	Value     float64 // in the parameter's canonical unit; the limit itself for < and >
	Method    string  // name of a method, described or not; "" if not told
	Note      string
	Who       string // who tested; "" if not told
}

func (Reading) Kind() Kind         { return KindReading }
func (r Reading) EntryID() ID      { return r.ID }
func (r Reading) When() time.Time  { return r.Time }
func (r Reading) TankName() string { return r.Tank }

func (r Reading) fields(v visitor) Record {
	r.visit(v)
	return r
}

// visit is fields without a copy, for the many readings of a long file. In the book a reading has an encoding of its
// own, see appendReading.
func (r *Reading) visit(v visitor) {
	v.entry(&r.ID, &r.Time, &r.Tank)
	v.text("parameter", "the parameter", &r.Parameter, needed|ofParameter)
	v.value(r)
	v.text("method", "the method", &r.Method, shown)
	v.text("note", "the note", &r.Note, shown|freeText)
	v.text("who", "who tested", &r.Who, 0)
}
