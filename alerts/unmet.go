package alerts

import (
	"fmt"
	"math"
	"time"

	"leadline/alerts/words"
	"leadline/trend"
)

// unmetShare is the least part of a standing supply that must be missing before it is spoken of: less is within what a
// doser's pump drifts (common practice, no source).
const unmetShare = 0.05

// unmetAlert speaks up when a level surely falls although the parameter is dosed every day: the demand has grown past the
// dosing, or the doser gives less than it should. It is quiet where a graver rule already tells of the low level.
func unmetAlert(l Finding, asOf time.Time) (Alert, bool) {
	as := l.Assessment
	if !(l.Supply > 0) || l.Heading() != trend.Falling || l.has(RuleBottomedOut, RuleBottomingOut, RuleTestAgain, RuleBelowBand) || l.tooOld(Day(asOf)) {
		return Alert{}, false
	}
	missing := -as.SlopePerWeek / 7
	if missing < unmetShare*l.Supply || as.Level > l.Band.High {
		return Alert{}, false
	}
	ev := l.evidence(asOf)
	ev["supply_per_day"], ev["missing_per_day"] = l.Supply, missing
	number := func(v float64) string { return words.WithUnit(words.Finer(l.Parameter, v), l.Parameter.Unit) }
	text := fmt.Sprintf("%s falls %s a week despite dosing: ", l.nowText(), words.Finer(l.Parameter, 7*missing))
	return Alert{
		Rule:     RuleUnmet,
		Severity: Notice,
		Since:    l.latestTime(),
		Headline: headline(text+"check doser, dose more", text+"dose more", text+"see why"),
		Because: fmt.Sprintf("%s a day is dosed and about %s more is taken (80 %%: %s to %s)", number(l.Supply), number(missing),
			words.Finer(l.Parameter, math.Max(0, -as.SlopeHi/7)), number(-as.SlopeLo/7)),
		Evidence: ev,
		heldSince: func(from time.Time) bool {
			return l.heldFrom(from, func(then trend.Assessment, _ trend.Observation) bool { return headingOf(then) == trend.Falling })
		},
	}, true
}
