package alerts

import (
	"fmt"
	"math"
	"time"

	"leadline/alerts/words"
	"leadline/trend"
)

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
	ev := l.evidence(asOf)
	ev["change_per_day_at_least"], ev["limit_per_day"] = perDay, limit
	return Alert{
		Rule: RuleSwing, Severity: Warning, Since: l.latestTime(), Evidence: ev,
		Headline: l.swingHeadline(before.Value, after.Value, between),
		Because: fmt.Sprintf("%s by at least %s a day; careful is up to %s a day", word, words.Rise(l.Parameter, perDay),
			words.Rise(l.Parameter, limit)),
	}, true
}
