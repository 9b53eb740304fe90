package alerts

import (
	"fmt"
	"math"
	"slices"
	"time"

	"leadline/alerts/words"
	"leadline/trend"
)

// urgentDays is how near the floor must be for an alert to be urgent: before the next weekly test.
const urgentDays = 7

// floorAlert speaks up when a parameter with a floor has bottomed out, is bottoming out, or shows one low reading that
// may be the start of a sudden fall; the gravest of the three that holds.
func floorAlert(l Finding, asOf time.Time) (Alert, bool) {
	as := l.Assessment
	if math.IsNaN(as.Floor) || as.N == 0 {
		return Alert{}, false
	}
	var a Alert
	since := math.NaN()
	switch {
	case as.BottomedOut:
		a = Alert{Rule: RuleBottomedOut, Severity: Urgent, Headline: l.bottomedOutHeadline(asOf)}
		since = as.BottomedOutSince
	case as.BottomingOut:
		a = Alert{Rule: RuleBottomingOut, Severity: Warning, Headline: l.bottomingOutHeadline(asOf)}
		if floorIsNear(as) {
			a.Severity, a.milder = Urgent, l.floorWasFar
		}
		since = as.BottomingOutSince
	case as.TestAgain && !l.probe.writes: // a probe has tested again before anybody reads this
		a = Alert{Rule: RuleTestAgain, Severity: Warning, Headline: l.testAgainHeadline()}
	default:
		return Alert{}, false
	}
	if given := l.DosedSince(); given > 0 {
		a.Headline = l.dosedHeadline(given)
	}
	a.Since = l.latestTime()
	if !math.IsNaN(since) {
		a.Since = l.timeOfReading(since)
	}
	a.Because, a.Evidence = l.levelAndSlope()+"; "+l.FloorText(asOf), l.evidence(asOf, nil)
	return a, true
}

func floorIsNear(a trend.Assessment) bool { return a.BottomingOut && a.FloorP50 <= urgentDays }

// floorWasFar reports whether an alert at an earlier moment was no urgent one.
func (l Finding) floorWasFar(at time.Time) bool {
	n := 0
	for n < len(l.Readings) && !l.Readings[n].Time.After(at) {
		n++
	}
	return !floorIsNear(trend.Assess(l.observations[:n], l.Inputs, Day(at), l.settings()))
}

// A reading is suspect when fewer than one in two hundred would lie so far from what the earlier ones predict. It stays
// so until the next test, or for two weeks (common practice, no source): after that the advice to test again is stale.
const (
	suspectTail = 0.005
	suspectDays = 14
)

// suspectAlert speaks up when the latest reading is far from what the earlier ones predict, unless it is to be tested
// again already. Of a probe that writes every
// minute it says nothing: one in two hundred is several readings a day, and the next minute tests again.
func suspectAlert(l Finding, asOf time.Time) (Alert, bool) {
	as := l.Assessment
	if as.N == 0 || l.has(RuleTestAgain) || l.probe.writes || math.IsNaN(as.Surprise) || as.Surprise >= suspectTail ||
		Day(asOf)-as.Latest.Day > suspectDays {
		return Alert{}, false
	}
	return Alert{
		Rule: RuleSuspect, Severity: Warning, Since: l.latestTime(), Headline: l.suspectHeadline(),
		Evidence: l.evidence(asOf, map[string]any{
			"expected_lo": finite(as.Expected.Lo), "expected_hi": finite(as.Expected.Hi), "tail": as.Surprise}),
		Because: fmt.Sprintf("%s on %s; from the earlier readings %s to %s was expected", l.latestText(),
			words.Day(l.latestTime()), words.Number(l.Parameter, as.Expected.Lo), words.Quantity(l.Parameter, as.Expected.Hi)),
	}, true
}

const (
	// A nutrient should fall by no more than a quarter of its level in a day: the upper figure of common practice, no
	// source, which gives 10 to 25 % (testdata/reference/practice.json).
	nutrientFallShare = 0.25
	// Two tests closer than this are repeats of one test day.
	swingLeastDays = 0.5
	// swingDays is how long a swing stays worth a word.
	swingDays = 7
	// The part of a difference that the methods' spread may explain, in standard deviations: one in ten on that side.
	swingDoubt = 1.2816
)

// swing compares the last two tests: how fast the level has moved per day at the least, once what the spread of the
// two methods may explain is taken off; 0 where that explains it all.
func swing(before, after trend.Observation) (perDay float64, rising bool) {
	days := after.Day - before.Day
	if days < swingLeastDays || before.Bound != trend.Exact || after.Bound != trend.Exact {
		return 0, false
	}
	move := after.Value - before.Value
	sure := math.Abs(move) - swingDoubt*math.Hypot(before.SD, after.SD)
	return math.Max(0, sure) / days, move > 0
}

// swingAlert speaks up when the last two tests, or a probe within a day, show a faster change than the greatest careful
// one of the parameter, unless the latest is to be tested again already.
func swingAlert(l Finding, asOf time.Time) (Alert, bool) {
	n := len(l.observations)
	if n < 2 || l.has(RuleTestAgain, RuleSuspect) || Day(asOf)-l.observations[n-1].Day > swingDays {
		return Alert{}, false
	}
	before, after, between := l.observations[n-2], l.observations[n-1],
		"in "+words.Days(math.Max(1, l.observations[n-1].Day-l.observations[n-2].Day))
	if p := l.probe; p.writes {
		if len(p.dayBefore) == 0 {
			return Alert{}, false
		}
		before, after, between = p.dayBefore[0], p.now[0], "since yesterday"
	}
	perDay, rising := swing(before, after)
	limit, word := l.Parameter.MaxFall, "fell"
	if rising {
		limit, word = l.Parameter.MaxRise, "rose"
	} else if limit == 0 && l.Parameter.Nutrient {
		limit = nutrientFallShare * before.Value
	}
	if limit <= 0 || perDay <= limit {
		return Alert{}, false
	}
	return Alert{
		Rule: RuleSwing, Severity: Warning, Since: l.latestTime(),
		Evidence: l.evidence(asOf, map[string]any{"change_per_day_at_least": perDay, "limit_per_day": limit}),
		Headline: l.swingHeadline(before.Value, after.Value, between),
		Because: fmt.Sprintf("%s by at least %s a day; careful is up to %s a day", word, words.Rise(l.Parameter, perDay),
			words.Rise(l.Parameter, limit)),
	}, true
}

// swings says whether the two latest tests differ by more than is careful.
func (l Finding) swings() bool {
	if len(l.Readings) == 0 {
		return false
	}
	since := time.Duration((l.Assessment.AsOf - l.Assessment.Latest.Day) * dayNanos)
	_, is := swingAlert(l, l.latestTime().Add(since))
	return is
}

const (
	// The least part of a standing supply that must be missing before it is spoken of: less is within what a doser's pump
	// drifts (common practice, no source). Less is told too if it carries the level out of the band within unmetDays.
	unmetShare = 0.05
	unmetDays  = 42
)

// unmetAlert speaks up when the demand has surely grown past the standing supply of a parameter, or the doser gives
// less than it should. It is quiet where a graver rule already tells of the low level or of the latest reading, where
// the level is too high or rises, and where doses by hand meet what the standing supply leaves.
func unmetAlert(l Finding, asOf time.Time) (Alert, bool) {
	if !(l.Supply > 0) || l.Parameter.Doseable() != nil ||
		l.has(RuleBottomedOut, RuleBottomingOut, RuleTestAgain, RuleBelowBand, RuleSuspect, RuleSwing) ||
		l.tooOld(Day(asOf)) ||
		l.Assessment.Level > l.Band.High || l.Assessment.Direction == trend.Rising || l.dosedByHand(Day(asOf)) {
		return Alert{}, false
	}
	d, unmet := l.unmet(l.observations, Day(asOf), l.Assessment.Level)
	if !unmet {
		return Alert{}, false
	}
	return Alert{
		Rule: RuleUnmet, Severity: Notice, Since: l.latestTime(),
		Evidence: l.evidence(asOf, map[string]any{
			"supply_per_day": d.Supply, "demand_per_day": d.PerDay, "demand_lo": d.Lo, "demand_hi": d.Hi}),
		Headline: l.unmetHeadline(asOf),
		Because: fmt.Sprintf("%s a day is dosed, %s (%s–%s) is taken",
			words.WithUnit(words.Finer(l.Parameter, d.Supply), words.Unit(l.Parameter)),
			words.Finer(l.Parameter, d.PerDay), words.Finer(l.Parameter, d.Lo), words.Finer(l.Parameter, d.Hi)),
		heldSince: func(from time.Time) bool {
			return l.heldFrom(from, func(obs []trend.Observation) bool {
				last := obs[len(obs)-1]
				_, unmet := l.unmet(obs, last.Day, last.Value)
				return unmet
			})
		},
	}, true
}

// handDays is how far back a dose by hand is looked for, by which a keeper may meet what the standing supply leaves.
const handDays = 28

func (s Series) dosedByHand(day float64) bool {
	return slices.ContainsFunc(s.Inputs, func(in trend.Input) bool {
		return in.Kind == trend.Dose && in.Day <= day && in.Day > day-handDays
	})
}

// unmet is the demand that some observations tell, and whether the standing supply surely lacks a part of it that
// matters.
func (s Series) unmet(obs []trend.Observation, day, level float64) (d trend.Demand, unmet bool) {
	d = trend.EstimateDemand(obs, s.Inputs, day, s.demandSettings())
	missing := d.PerDay - d.Supply
	return d, d.Supply > 0 && d.Lo > d.Supply &&
		(missing >= unmetShare*d.Supply || level-unmetDays*missing < s.Band.Low)
}

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
	since := l.timeOfReading(s.Since)
	return Alert{
		Rule: RuleDrift, Severity: Notice, Since: since, Evidence: l.evidence(asOf, map[string]any{
			"settled_level": s.Level, "settled_readings": s.Used, "average_minus_settled": s.Amount}),
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
