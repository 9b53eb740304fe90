package alerts

import (
	"fmt"
	"math"
	"time"

	"leadline/alerts/words"
	"leadline/trend"
)

const (
	// The readings of the last six weeks are held against those before (common practice, no source: long enough for an
	// average of weekly tests to move).
	driftRecentDays = 42
	driftSettled    = 26 // at most so many readings set the level
	driftFewest     = 8  // at least so many
	// Readings that scatter by more than this many times what wandering and method explain have no settled level.
	driftScatter = 1.5
	// Nor have readings with a trend that chance would show once in twenty series.
	driftTrendP = 0.05
	// A drift under twice the ordinary wandering of the parameter is nothing to act on, however surely it is seen.
	driftWobbles = 2
)

// driftAlert speaks up when the level has slowly left where the tank had settled, by an EWMA chart (trend.Drift). It is
// quiet where a graver rule already speaks about the level.
func driftAlert(l Finding, asOf time.Time) (Alert, bool) {
	if l.has(RuleBelowBand, RuleAboveBand, RuleBottomingOut, RuleBottomedOut, RuleUnmet, RuleSuspect) {
		return Alert{}, false
	}
	obs := l.observations
	if l.probe.writes {
		obs = obs[:len(obs)-1] // the latest may be a glitch; the day it belongs to is there
	}
	settled := 0
	for settled < len(obs) && obs[settled].Day < Day(asOf)-driftRecentDays {
		settled++
	}
	if settled < driftFewest || settled == len(obs) {
		return Alert{}, false
	}
	first := max(0, settled-driftSettled)
	if !hasSettled(obs[first:settled], l.Parameter.Wobble) {
		return Alert{}, false
	}
	s := trend.Drift(obs[first:], settled-first)
	if !s.Drifted || math.Abs(s.Amount) < driftWobbles*l.Parameter.Wobble*math.Abs(s.Level) {
		return Alert{}, false
	}
	word := "above"
	if s.Amount < 0 {
		word = "below"
	}
	ev := l.evidence(asOf)
	ev["settled_level"], ev["settled_readings"], ev["average_minus_settled"] = s.Level, s.Used, s.Amount
	since := l.timeOfReading(s.Since)
	return Alert{
		Rule: RuleDrift, Severity: Notice, Since: since, Evidence: ev,
		Headline: l.driftHeadline(s.Level, s.Level+s.Amount, since),
		Because: fmt.Sprintf("moving average %s %s the settled level of %d readings, outside its limits since %s",
			words.Rise(l.Parameter, math.Abs(s.Amount)), word, s.Used, words.Day(since)),
	}, true
}

// hasSettled reports whether readings lie around one level: they show no trend, and scatter no more than the ordinary
// wandering of the parameter and the method's own spread explain.
func hasSettled(obs []trend.Observation, wobble float64) bool {
	days, values := make([]float64, len(obs)), make([]float64, len(obs))
	var mean, explained float64
	for i, o := range obs {
		days[i], values[i] = o.Day, o.Value
		mean += o.Value / float64(len(obs))
	}
	scatter := 0.0
	for _, o := range obs {
		scatter += sq(o.Value - mean)
		explained += sq(o.SD) + sq(wobble*mean)
	}
	p, _ := trend.MannKendall(days, values).P() // NaN where all are equal, which is as settled as can be
	return scatter <= sq(driftScatter)*explained && !(p < driftTrendP)
}
