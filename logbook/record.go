package logbook

import "time"

// Kind is the name of a sort of record, as it stands in the "kind" field of JSON Lines.
type Kind string

const (
	KindParameter       Kind = "parameter"
	KindTank            Kind = "tank"
	KindMethod          Kind = "method"
	KindSupplement      Kind = "supplement"
	KindChore           Kind = "chore"
	KindStock           Kind = "stock"
	KindReading         Kind = "reading"
	KindDosing          Kind = "dosing"
	KindDose            Kind = "dose"
	KindWaterChange     Kind = "water_change"
	KindEvent           Kind = "event"
	KindChoreDone       Kind = "chore_done"
	KindAcknowledgement Kind = "acknowledgement"
	KindRefill          Kind = "refill"
	KindStrike          Kind = "strike"
)

// Record is any line of the book. Its fields are listed once, by fields; see visitor.
type Record interface {
	Kind() Kind
	// fields takes a visitor through all fields and gives the record as the visitor left it.
	fields(v visitor) Record
}

// Entry is a record that happened at a moment in a tank, and so has a place in time order and an ID.
type Entry interface {
	Record
	tanked
	EntryID() ID
	When() time.Time
}

// tanked is what belongs to a tank: an entry, or a definition such as a chore.
type tanked interface{ TankName() string }
