package logbook

import "time"

// Kind is the name of a sort of record, as it stands in the "kind" field of JSON Lines.
type Kind string

const (
	KindTank            Kind = "tank"
	KindParameter       Kind = "parameter"
	KindMethod          Kind = "method"
	KindChore           Kind = "chore"
	KindReading         Kind = "reading"
	KindDosing          Kind = "dosing"
	KindDose            Kind = "dose"
	KindWaterChange     Kind = "water_change"
	KindEvent           Kind = "event"
	KindChoreDone       Kind = "chore_done"
	KindAcknowledgement Kind = "acknowledgement"
	KindStrike          Kind = "strike"
	KindSupplement      Kind = "supplement"
	KindStock           Kind = "stock"
	KindRefill          Kind = "refill"
)

// Record is any line of the book.
type Record interface {
	Kind() Kind
}

// Entry is a record that happened at a moment in a tank, and so has a place in time order and an ID.
type Entry interface {
	Record
	EntryID() ID
	When() time.Time
	TankName() string
}
