package shape

import (
	"math"
	"time"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

// Assessment is one assessment of one parameter of one tank as-of a moment.
type Assessment struct {
	Tank             string     `json:"tank"`
	Parameter        string     `json:"parameter"`
	Unit             string     `json:"unit"`
	AsOf             Moment     `json:"as_of"`
	N                int        `json:"n"`
	Latest           *latest    `json:"latest"`
	Level            Number     `json:"level"`
	LevelLo          Number     `json:"level_lo"`
	LevelHi          Number     `json:"level_hi"`
	SlopePerWeek     Number     `json:"slope_per_week"`
	SlopeLo          Number     `json:"slope_lo"`
	SlopeHi          Number     `json:"slope_hi"`
	Rolling          rolling    `json:"rolling"`
	Direction        string     `json:"direction"`
	Floor            Number     `json:"floor"`
	PFloor14         Number     `json:"p_floor_14d"`
	PFloor28         Number     `json:"p_floor_28d"`
	PFloor42         Number     `json:"p_floor_42d"`
	FloorP10         Moment     `json:"floor_date_p10"`
	FloorP50         Moment     `json:"floor_date_p50"`
	FloorP90         Moment     `json:"floor_date_p90"`
	Forecast         []Forecast `json:"forecast"`
	BottomingOut     bool       `json:"bottoming_out"`
	BottomingOutFrom Moment     `json:"bottoming_out_since"`
	BottomedOut      bool       `json:"bottomed_out"`
	BottomedOutFrom  Moment     `json:"bottomed_out_since"`
	TestAgain        bool       `json:"test_again"`
	NextTest         Moment     `json:"next_test"`
	Surprise         Number     `json:"surprise"`
	Expected         Expected   `json:"expected"`
	Band             band       `json:"band"`
	Reasons          []string   `json:"reasons"`
	Thinned          bool       `json:"thinned"` // the n readings were chosen from a dense log
}

type latest struct {
	Time     Moment `json:"time"`
	Value    Number `json:"value"` // canonical unit; the limit itself where censored
	Censored bool   `json:"censored"`
	Bound    string `json:"bound"` // "exact", "below" or "above"
	Text     string `json:"text"`  // as typed
	TextUnit string `json:"text_unit"`
}

type rolling struct {
	Method       string  `json:"method"`
	WindowDays   Number  `json:"window_days"`
	N            int     `json:"n"`
	SlopePerWeek Number  `json:"slope_per_week"`
	Lo           Number  `json:"lo"`
	Hi           Number  `json:"hi"`
	Confidence   float64 `json:"confidence"` // of lo and hi
	Lo80         Number  `json:"lo_80"`
	Hi80         Number  `json:"hi_80"`
	S            Number  `json:"s"`
	VarS         Number  `json:"var_s"`
	Tau          Number  `json:"tau"`
	Z            Number  `json:"z"`
	P            Number  `json:"p"`
	Exact        bool    `json:"exact"`
	// AsLimits is the same with every "<" taken as its limit.
	AsLimits *rolling `json:"as_limits,omitempty"`
}

// Forecast is the level so many days ahead, with its range.
type Forecast struct {
	Days Number `json:"days"`
	Expected
}

// Expected is what a reading would be, with its range.
type Expected struct {
	Mean Number `json:"mean"`
	Lo   Number `json:"lo"`
	Hi   Number `json:"hi"`
}

type band struct {
	Low   Number `json:"low"`
	High  Number `json:"high"`
	State string `json:"state"`
}

func AssessmentOf(l alerts.Finding, asOf time.Time) Assessment {
	as, zone := l.Assessment, l.Tank.Zone()
	on := func(day float64) Moment { return DayOf(day, zone) }
	ahead := func(days float64) Moment { return on(alerts.Day(asOf) + days) }
	return Assessment{
		Tank: l.Tank.Name, Parameter: l.Parameter.Name, Unit: l.Parameter.Unit, AsOf: Moment(asOf), N: as.N,
		Thinned: l.Thinned, Latest: latestOf(l.Readings),
		Level: Number(as.Level), LevelLo: Number(as.LevelLo), LevelHi: Number(as.LevelHi),
		SlopePerWeek: Number(as.SlopePerWeek), SlopeLo: Number(as.SlopeLo), SlopeHi: Number(as.SlopeHi),
		Rolling: rollingOf(as.Rolling), Direction: as.Direction.String(),
		Floor: Number(as.Floor), PFloor14: Number(as.PFloor14), PFloor28: Number(as.PFloor28), PFloor42: Number(as.PFloor42),
		FloorP10: ahead(as.FloorP10), FloorP50: ahead(as.FloorP50), FloorP90: ahead(as.FloorP90),
		Forecast:     ForecastOf(as),
		BottomingOut: as.BottomingOut, BottomingOutFrom: on(as.BottomingOutSince),
		BottomedOut: as.BottomedOut, BottomedOutFrom: on(as.BottomedOutSince),
		TestAgain: as.TestAgain, NextTest: ahead(as.NextTest), Surprise: Number(as.Surprise),
		Expected: Expected{Number(as.Expected.Mean), Number(as.Expected.Lo), Number(as.Expected.Hi)},
		Band:     band{Number(l.Band.Low), Number(l.Band.High), string(l.BandState)},
		Reasons:  l.Reasons(asOf),
	}
}

func ForecastOf(as trend.Assessment) []Forecast {
	out := []Forecast{}
	for _, f := range as.Forecast {
		out = append(out, Forecast{Number(f.Days), Expected{Number(f.Mean), Number(f.Lo), Number(f.Hi)}})
	}
	return out
}

func latestOf(readings []logbook.Reading) *latest {
	if len(readings) == 0 {
		return nil
	}
	r := readings[len(readings)-1]
	return &latest{Time: Moment(r.Time), Value: Number(r.Value), Censored: r.Bound != logbook.Exact,
		Bound: boundWord(r.Bound), Text: r.Text, TextUnit: r.Unit}
}

func boundWord(b logbook.Bound) string {
	return [...]string{logbook.Exact: "exact", logbook.Below: "below", logbook.Above: "above"}[b]
}

func rollingOf(r trend.Rolling) rolling {
	out := rolling{
		Method: r.Method, WindowDays: Number(r.WindowDays), N: r.N,
		SlopePerWeek: Number(r.SlopePerWeek), Lo: Number(r.Lo), Hi: Number(r.Hi), Confidence: 0.95,
		Lo80: Number(r.Lo80), Hi80: Number(r.Hi80), S: Number(r.S), VarS: Number(r.VarS),
		Tau: Number(r.Tau), Z: Number(r.Z), P: Number(r.P), Exact: r.Exact,
	}
	if r.AsLimits != nil {
		limits := rollingOf(*r.AsLimits)
		out.AsLimits = &limits
	}
	return out
}

func ExpectationOf(e water.Expectation) Expected {
	return Expected{Number(e.Level), Number(e.Lo), Number(e.Hi)}
}

// Reading is a reading as listed: what was typed, and its value in the canonical unit.
type Reading struct {
	ID        string `json:"id"`
	Time      Moment `json:"time"`
	Tank      string `json:"tank"`
	Parameter string `json:"parameter"`
	Value     string `json:"value"` // as typed
	Unit      string `json:"unit"`  // as typed
	Bound     string `json:"bound"`
	Canonical Number `json:"canonical"`
	InUnit    string `json:"canonical_unit"`
	Method    string `json:"method"`
	Note      string `json:"note"`
	Who       string `json:"who,omitempty"`
}

func ReadingOf(r logbook.Reading, p logbook.Parameter) Reading {
	return Reading{ID: r.ID.String(), Time: Moment(r.Time), Tank: r.Tank, Parameter: r.Parameter, Value: r.Text,
		Unit: r.Unit, Bound: boundWord(r.Bound), Canonical: Number(r.Value), InUnit: p.Unit, Method: r.Method,
		Note: r.Note, Who: r.Who}
}

// Alert is an alert as-of a moment.
type Alert struct {
	Tank         string         `json:"tank"`
	Parameter    *string        `json:"parameter"` // null where it is not about a parameter
	Subject      *string        `json:"subject"`   // the stock or chore it is about; null where it is about neither
	Rule         string         `json:"rule"`
	Severity     string         `json:"severity"`
	Since        Moment         `json:"since"`
	Headline     string         `json:"headline"` // what, its value, by when and what to do
	Text         string         `json:"text"`     // the headline with its evidence, in one line
	Evidence     map[string]any `json:"evidence"`
	Open         bool           `json:"open"`
	Acknowledged bool           `json:"acknowledged"`
	SnoozedUntil Moment         `json:"snoozed_until"`
	Change       string         `json:"change,omitempty"` // with --new: opened, changed or cleared
}

func AlertsOf(as []alerts.Alert, asOf time.Time) []Alert {
	out := []Alert{}
	for _, al := range as {
		out = append(out, Alert{Tank: al.Tank, Parameter: textOrNull(al.Parameter), Subject: textOrNull(al.Subject),
			Rule: string(al.Rule), Severity: al.Severity.String(), Since: Moment(al.Since),
			Headline: al.Headline, Text: al.Text(), Evidence: al.Evidence, Open: al.Open(asOf), Acknowledged: al.Acknowledged,
			SnoozedUntil: Moment(al.SnoozedUntil)})
	}
	return out
}

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
		Parameter: textOrNull(s.Parameter), AsOf: Moment(asOf), Refilled: Moment(s.Filled.Time), Refill: Number(refill),
		Left: Number(s.Left), PerDay: Number(s.PerDay), OutP10: date(s.Out.P10), OutP50: date(s.Out.P50),
		OutP90: date(s.Out.P90), Expires: Moment(s.Expires), Basis: s.Basis, Why: s.Why, Text: s.Text(asOf)}
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
