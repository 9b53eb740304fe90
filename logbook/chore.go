package logbook

import "time"

// Chore is a job that comes round again.
type Chore struct {
	Tank      string
	Name      string  // field "chore" in JSON Lines
	EveryDays float64 // 0: to be learned from when it was done
}

func (Chore) Kind() Kind         { return KindChore }
func (c Chore) TankName() string { return c.Tank }

func (c Chore) fields(v visitor) Record {
	v.key(firstKey, "tank", "the tank of the chore", &c.Tank, 0)
	v.key(secondKey, "chore", "the chore", &c.Name, 0)
	v.number("every_days", "the days between", &c.EveryDays, notNegative)
	return c
}

// ChoreDone says that a chore was done.
type ChoreDone struct {
	ID    ID
	Time  time.Time
	Tank  string
	Chore string
	Note  string
	Who   string
}

func (ChoreDone) Kind() Kind         { return KindChoreDone }
func (c ChoreDone) EntryID() ID      { return c.ID }
func (c ChoreDone) When() time.Time  { return c.Time }
func (c ChoreDone) TankName() string { return c.Tank }

func (c ChoreDone) fields(v visitor) Record {
	v.entry(&c.ID, &c.Time, &c.Tank)
	v.text("chore", "the chore", &c.Chore, needed)
	v.text("note", "the note", &c.Note, freeText)
	byWhom(v, &c.Who)
	return c
}
