package alerts

import (
	"fmt"
	"math"
	"time"

	"leadline/alerts/words"
)

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
	ev := l.evidence(asOf)
	ev["expected_lo"], ev["expected_hi"] = finite(as.Expected.Lo), finite(as.Expected.Hi)
	ev["tail"] = as.Surprise
	return Alert{
		Rule: RuleSuspect, Severity: Warning, Since: l.latestTime(), Evidence: ev,
		Headline: l.suspectHeadline(),
		Because: fmt.Sprintf("%s on %s; from the earlier readings %s to %s was expected", l.latestText(),
			words.Day(l.latestTime()), words.Number(l.Parameter, as.Expected.Lo), words.Quantity(l.Parameter, as.Expected.Hi)),
	}, true
}
