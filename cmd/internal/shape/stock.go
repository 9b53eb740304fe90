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

// StockOf is the published form of a stock as-of a moment.
func StockOf(s alerts.Stock, asOf time.Time) Stock {
	date := func(days float64) Moment { return DayOf(alerts.Day(asOf)+days, asOf.Location()) }
	refill := math.NaN()
	if !s.Filled.Time.IsZero() {
		refill = s.Filled.Amount
	}
	return Stock{Tank: s.Tank, Stock: s.Name, Unit: s.Unit, Supplement: textOrNull(s.Supplement), Parameter: textOrNull(s.Parameter),
		AsOf: Moment(asOf), Refilled: Moment(s.Filled.Time), Refill: Number(refill), Left: Number(s.Left), PerDay: Number(s.PerDay),
		OutP10: date(s.Out.P10), OutP50: date(s.Out.P50), OutP90: date(s.Out.P90), Expires: Moment(s.Expires),
		Basis: s.Basis, Why: s.Why, Text: s.Text(asOf)}
}
