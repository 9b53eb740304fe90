package logbook

import "time"

// Chore is a job that comes round again.
type Chore struct {
	Tank      string
	Name      string  // field "chore" in JSON Lines
	EveryDays float64 // 0: to be learned from when it was done
}

func (Chore) Kind() Kind { return KindChore }

// ChoreDone says that a chore was done.
type ChoreDone struct {
	ID    ID
	Time  time.Time
	Tank  string
	Chore string
	Note  string
}

func (ChoreDone) Kind() Kind         { return KindChoreDone }
func (c ChoreDone) EntryID() ID      { return c.ID }
func (c ChoreDone) When() time.Time  { return c.Time }
func (c ChoreDone) TankName() string { return c.Tank }
