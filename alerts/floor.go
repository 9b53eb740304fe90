package alerts

import (
	"math"
	"time"
)

// floorAlert speaks up when a parameter with a floor has bottomed out, is bottoming out, or shows one low reading that
// may be the start of a sudden fall; the gravest of the three that holds.
func floorAlert(l Line, asOf time.Time) (Alert, bool) {
	as := l.Assessment
	if math.IsNaN(as.Floor) || as.N == 0 {
		return Alert{}, false
	}
	var a Alert
	since := math.NaN()
	switch {
	case as.BottomedOut:
		a = Alert{Rule: RuleBottomedOut, Severity: Urgent, Text: l.bottomedOutSentence()}
		since = as.BottomedOutSince
	case as.BottomingOut:
		a = Alert{Rule: RuleBottomingOut, Severity: Warning, Text: l.bottomingOutSentence(asOf)}
		if as.FloorP50 <= 7 {
			a.Severity = Urgent
		}
		since = as.BottomingOutSince
	case as.TestAgain && !l.probe.writes: // a probe has tested again before anybody reads this
		a = Alert{Rule: RuleTestAgain, Severity: Warning, Text: l.testAgainSentence()}
	default:
		return Alert{}, false
	}
	a.Since = l.latestTime()
	if !math.IsNaN(since) {
		a.Since = l.timeOfReading(since)
	}
	a.Evidence = l.evidence(asOf)
	return a, true
}
