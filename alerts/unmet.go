package alerts

import (
	"fmt"
	"slices"
	"time"

	"leadline/alerts/words"
	"leadline/trend"
)

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
	d, missing, unmet := l.unmet(l.observations, Day(asOf), l.Assessment.Level)
	if !unmet {
		return Alert{}, false
	}
	ev := l.evidence(asOf)
	ev["supply_per_day"], ev["demand_per_day"], ev["demand_lo"], ev["demand_hi"] = d.Supply, d.PerDay, d.Lo, d.Hi
	text := fmt.Sprintf("%s falls %s a week despite dosing: ", l.nowText(), words.Number(l.Parameter, 7*missing))
	when := " today"
	if days := (l.Assessment.Level - l.Band.Low) / missing; days > 0 && days <= unmetDays {
		text = fmt.Sprintf("%s, at edge %s about %s despite dosing: ", l.nowText(), words.Number(l.Parameter, l.Band.Low),
			dateIn(asOf, days))
		when = "" // the date says it
	}
	return Alert{
		Rule: RuleUnmet, Severity: Notice, Since: l.latestTime(), Evidence: ev,
		Headline: headline(text+"check doser, dose more"+when, text+"dose more"+when, text+"see why"),
		Because: fmt.Sprintf("%s a day is dosed, %s (%s–%s) is taken",
			words.WithUnit(words.Finer(l.Parameter, d.Supply), words.Unit(l.Parameter)),
			words.Finer(l.Parameter, d.PerDay), words.Finer(l.Parameter, d.Lo), words.Finer(l.Parameter, d.Hi)),
		heldSince: func(from time.Time) bool {
			return l.heldFrom(from, func(obs []trend.Observation) bool {
				last := obs[len(obs)-1]
				_, _, unmet := l.unmet(obs, last.Day, last.Value)
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

// unmet is the demand that some observations tell, and what the standing supply lacks of it a day.
func (s Series) unmet(obs []trend.Observation, day, level float64) (d trend.Demand, missing float64, unmet bool) {
	d = trend.EstimateDemand(obs, s.Inputs, day, s.demandSettings())
	missing = d.PerDay - d.Supply
	return d, missing, d.Supply > 0 && d.Lo > d.Supply &&
		(missing >= unmetShare*d.Supply || level-unmetDays*missing < s.Band.Low)
}
