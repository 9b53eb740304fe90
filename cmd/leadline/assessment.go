package main

import (
	"math"
	"time"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

// assessmentJSON is one assessment of one parameter of one tank as-of a moment.
type assessmentJSON struct {
	Tank             string         `json:"tank"`
	Parameter        string         `json:"parameter"`
	Unit             string         `json:"unit"`
	AsOf             moment         `json:"as_of"`
	N                int            `json:"n"`
	Latest           *latestJSON    `json:"latest"`
	Level            number         `json:"level"`
	LevelLo          number         `json:"level_lo"`
	LevelHi          number         `json:"level_hi"`
	SlopePerWeek     number         `json:"slope_per_week"`
	SlopeLo          number         `json:"slope_lo"`
	SlopeHi          number         `json:"slope_hi"`
	Rolling          rollingJSON    `json:"rolling"`
	Direction        string         `json:"direction"`
	Floor            number         `json:"floor"`
	PFloor14         number         `json:"p_floor_14d"`
	PFloor28         number         `json:"p_floor_28d"`
	PFloor42         number         `json:"p_floor_42d"`
	FloorP10         moment         `json:"floor_date_p10"`
	FloorP50         moment         `json:"floor_date_p50"`
	FloorP90         moment         `json:"floor_date_p90"`
	Forecast         []forecastJSON `json:"forecast"`
	BottomingOut     bool           `json:"bottoming_out"`
	BottomingOutFrom moment         `json:"bottoming_out_since"`
	BottomedOut      bool           `json:"bottomed_out"`
	BottomedOutFrom  moment         `json:"bottomed_out_since"`
	TestAgain        bool           `json:"test_again"`
	NextTest         moment         `json:"next_test"`
	Surprise         number         `json:"surprise"`
	Expected         expectedJSON   `json:"expected"`
	Band             bandJSON       `json:"band"`
	Reasons          []string       `json:"reasons"`
	Thinned          bool           `json:"thinned"` // the n readings were chosen from a dense log
}

type latestJSON struct {
	Time     moment `json:"time"`
	Value    number `json:"value"` // canonical unit; the limit itself where censored
	Censored bool   `json:"censored"`
	Bound    string `json:"bound"` // "exact", "below" or "above"
	Text     string `json:"text"`  // as typed
	TextUnit string `json:"text_unit"`
}

type rollingJSON struct {
	Method       string  `json:"method"`
	WindowDays   number  `json:"window_days"`
	N            int     `json:"n"`
	SlopePerWeek number  `json:"slope_per_week"`
	Lo           number  `json:"lo"`
	Hi           number  `json:"hi"`
	Confidence   float64 `json:"confidence"` // of lo and hi
	Lo80         number  `json:"lo_80"`
	Hi80         number  `json:"hi_80"`
	S            number  `json:"s"`
	VarS         number  `json:"var_s"`
	Tau          number  `json:"tau"`
	Z            number  `json:"z"`
	P            number  `json:"p"`
	Exact        bool    `json:"exact"`
	// AsLimits is the same with every "<" taken as its limit.
	AsLimits *rollingJSON `json:"as_limits,omitempty"`
}

type forecastJSON struct {
	Days number `json:"days"`
	Mean number `json:"mean"`
	Lo   number `json:"lo"`
	Hi   number `json:"hi"`
}

type expectedJSON struct {
	Mean number `json:"mean"`
	Lo   number `json:"lo"`
	Hi   number `json:"hi"`
}

type bandJSON struct {
	Low   number `json:"low"`
	High  number `json:"high"`
	State string `json:"state"`
}

// assessmentOf is the published form of a line as-of a moment.
func assessmentOf(l alerts.Finding, asOf time.Time) assessmentJSON {
	as, zone := l.Assessment, l.Tank.Zone()
	ahead := func(days float64) moment { // after as-of
		if math.IsNaN(days) || math.IsInf(days, 0) {
			return moment{}
		}
		return moment(alerts.TimeOf(alerts.Day(asOf)+days, zone))
	}
	on := func(day float64) moment {
		if math.IsNaN(day) || math.IsInf(day, 0) {
			return moment{}
		}
		return moment(alerts.TimeOf(day, zone))
	}
	return assessmentJSON{
		Tank: l.Tank.Name, Parameter: l.Parameter.Name, Unit: l.Parameter.Unit, AsOf: moment(asOf), N: as.N, Thinned: l.Thinned,
		Latest: latestOf(l.Readings),
		Level:  number(as.Level), LevelLo: number(as.LevelLo), LevelHi: number(as.LevelHi),
		SlopePerWeek: number(as.SlopePerWeek), SlopeLo: number(as.SlopeLo), SlopeHi: number(as.SlopeHi),
		Rolling: rollingOf(as.Rolling), Direction: as.Direction.String(),
		Floor: number(as.Floor), PFloor14: number(as.PFloor14), PFloor28: number(as.PFloor28), PFloor42: number(as.PFloor42),
		FloorP10: ahead(as.FloorP10), FloorP50: ahead(as.FloorP50), FloorP90: ahead(as.FloorP90),
		Forecast:     forecastOf(as),
		BottomingOut: as.BottomingOut, BottomingOutFrom: on(as.BottomingOutSince),
		BottomedOut: as.BottomedOut, BottomedOutFrom: on(as.BottomedOutSince),
		TestAgain: as.TestAgain, NextTest: ahead(as.NextTest),
		Surprise: number(as.Surprise),
		Expected: expectedJSON{number(as.Expected.Mean), number(as.Expected.Lo), number(as.Expected.Hi)},
		Band:     bandJSON{number(l.Band.Low), number(l.Band.High), string(l.BandState)},
		Reasons:  l.Reasons(asOf),
	}
}

func forecastOf(as trend.Assessment) []forecastJSON {
	out := []forecastJSON{}
	for _, f := range as.Forecast {
		out = append(out, forecastJSON{number(f.Days), number(f.Mean), number(f.Lo), number(f.Hi)})
	}
	return out
}

func latestOf(readings []logbook.Reading) *latestJSON {
	if len(readings) == 0 {
		return nil
	}
	r := readings[len(readings)-1]
	return &latestJSON{Time: moment(r.Time), Value: number(r.Value), Censored: r.Bound != logbook.Exact,
		Bound: boundWord(r.Bound), Text: r.Text, TextUnit: r.Unit}
}

func boundWord(b logbook.Bound) string {
	switch b {
	case logbook.Below:
		return "below"
	case logbook.Above:
		return "above"
	default:
		return "exact"
	}
}

func rollingOf(r trend.Rolling) rollingJSON {
	out := rollingJSON{
		Method: r.Method, WindowDays: number(r.WindowDays), N: r.N,
		SlopePerWeek: number(r.SlopePerWeek), Lo: number(r.Lo), Hi: number(r.Hi), Confidence: 0.95,
		Lo80: number(r.Lo80), Hi80: number(r.Hi80), S: number(r.S), VarS: number(r.VarS),
		Tau: number(r.Tau), Z: number(r.Z), P: number(r.P), Exact: r.Exact,
	}
	if r.AsLimits != nil {
		limits := rollingOf(*r.AsLimits)
		out.AsLimits = &limits
	}
	return out
}

func expectationOf(e water.Expectation) expectedJSON {
	return expectedJSON{number(e.Level), number(e.Lo), number(e.Hi)}
}
