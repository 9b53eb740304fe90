package alerts

import (
	"math"
	"time"

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
	a.Since = l.latestTime()
	if !math.IsNaN(since) {
		a.Since = l.timeOfReading(since)
	}
	a.Because, a.Evidence = l.levelAndSlope()+"; "+l.FloorText(asOf), l.evidence(asOf)
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
