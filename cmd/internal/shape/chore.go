package shape

import (
	"leadline/alerts"
)

// Chore is a chore with the time it was last done and comes round again.
type Chore struct {
	Tank      string `json:"tank"`
	Chore     string `json:"chore"`
	EveryDays Number `json:"every_days"` // as given; 0: learned from when it was done
	LastDone  Moment `json:"last_done"`
	Times     int    `json:"times"`    // how often it was done, of late
	Interval  Number `json:"interval"` // days, as given or learned
	Learned   bool   `json:"learned"`
	Due       Moment `json:"due"`
	DueLo     Moment `json:"due_lo"`       // of a learned interval: due_lo to due_hi ...
	DueHi     Moment `json:"due_hi"`       //
	Coverage  Number `json:"due_coverage"` // ... with this chance
	Why       string `json:"why"`          // why there is no due; "" if there is
}

// ChoreOf is the published form of a chore.
func ChoreOf(c alerts.Chore) Chore {
	return Chore{Tank: c.Tank, Chore: c.Name, EveryDays: Number(c.EveryDays), LastDone: Moment(c.Last), Times: c.Times,
		Interval: Number(c.Interval), Learned: c.Learned, Due: Moment(c.Due), DueLo: Moment(c.DueLo), DueHi: Moment(c.DueHi),
		Coverage: Number(c.Coverage), Why: c.Why}
}
