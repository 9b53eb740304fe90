package shape

import (
	"math"
	"time"

	"leadline/alerts"
)

// Stock is what is left of a stock, in its unit, and when it runs out; 80 % between p10 and p90. A date is null
// where it is not known or lies beyond ten years.
type Stock struct {
	Tank       string  `json:"tank"`
	Stock      string  `json:"stock"`
	Unit       string  `json:"unit"`
	Supplement *string `json:"supplement"`
	Parameter  *string `json:"parameter"`
	AsOf       Moment  `json:"as_of"`
	Refilled   Moment  `json:"refilled"`
	Refill     Number  `json:"refill"` // how much there was then
	Left       Number  `json:"left"`
	PerDay     Number  `json:"per_day"`
	OutP10     Moment  `json:"runs_out_p10"`
	OutP50     Moment  `json:"runs_out_p50"`
	OutP90     Moment  `json:"runs_out_p90"`
	Expires    Moment  `json:"expires"` // the first moment at which it has expired
	Basis      string  `json:"basis"`
	Why        string  `json:"why"` // why the end cannot be told; "" if it can
	Text       string  `json:"text"`
}

func StockOf(s alerts.Stock, asOf time.Time) Stock {
	date := func(days float64) Moment { return DayOf(alerts.Day(asOf)+days, asOf.Location()) }
	refill := math.NaN()
	if !s.Filled.Time.IsZero() {
		refill = s.Filled.Amount
	}
	return Stock{Tank: s.Tank, Stock: s.Name, Unit: s.Unit, Supplement: textOrNull(s.Supplement),
		Parameter: textOrNull(s.Parameter),
		AsOf:      Moment(asOf), Refilled: Moment(s.Filled.Time), Refill: Number(refill), Left: Number(s.Left),
		PerDay: Number(s.PerDay),
		OutP10: date(s.Out.P10), OutP50: date(s.Out.P50), OutP90: date(s.Out.P90), Expires: Moment(s.Expires),
		Basis: s.Basis, Why: s.Why, Text: s.Text(asOf)}
}

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

func ChoreOf(c alerts.Chore) Chore {
	return Chore{Tank: c.Tank, Chore: c.Name, EveryDays: Number(c.EveryDays), LastDone: Moment(c.Last), Times: c.Times,
		Interval: Number(c.Interval), Learned: c.Learned, Due: Moment(c.Due), DueLo: Moment(c.DueLo), DueHi: Moment(c.DueHi),
		Coverage: Number(c.Coverage), Why: c.Why}
}
