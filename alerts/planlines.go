package alerts

import (
	"fmt"
	"math"

	"leadline/alerts/words"
	"leadline/logbook/water"
)

// Lines say a plan; a row of a day stands behind two blanks. Of more than most days, 3 at least, some in the middle are left
// out: they are like those beside them. most 0: every day is said.
func (p Plan) Lines(most int) []string {
	of, what, days := p.Finding.Parameter, words.OneLine(p.Wish.Supplement), len(p.Steps)
	ml := func(v float64) string { return water.FormatAtMost(v, 3) + " mL" }
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	say("arithmetic on your own numbers: now %s; target %s", p.Finding.LevelText(), words.Quantity(of, p.Aim.Target))
	if days > 0 {
		say("day by day, the standing amount included, with the level after it (%.0f %%):", 100*water.PlanConfidence)
		var rows words.Table
		for _, s := range p.Steps {
			rows.Add(words.Weekday(s.Time), ml(s.Millilitres), words.QuantityRange(of, s.Expect.Level, s.Expect.Lo, s.Expect.Hi))
		}
		lines := rows.Lines("  ", 0, nil)
		if most > 0 && days > most {
			head := max(most, 3) - 2
			lines = append(append(lines[:head:head], fmt.Sprintf("  … and %d days more like these", days-head-1)), lines[days-1])
		}
		out = append(out, lines...)
		say("from %s on: %s a day of %s holds it", words.Weekday(p.Aim.Start.AddDate(0, 0, days)), ml(p.StandingML), what)
	} else {
		say("to hold it: %s a day of %s", ml(p.StandingML), what)
	}
	out = append(out, p.Demand.Text())
	if supply := p.Demand.Estimate.Supply; supply > 0 {
		say("all of this is in place of the present dosing of %s a day", words.Rise(of, supply))
	}
	if p.Finding.dosedByHand(Day(p.Aim.Start)) {
		say("and of the doses by hand of the last %d days, which the demand holds", handDays)
	}
	say("greatest change a day: %s up, %s down", words.Rise(of, p.Aim.MaxRise), words.Rise(of, p.Aim.MaxFall))
	between := ""
	if days > p.TestDay {
		between = fmt.Sprintf(", and every %s while it goes on", words.Plural(max(p.TestDay, 1), "day", "days"))
	}
	say("test again by %s%s; where the reading lies outside what is written for its day, stop and plan anew", words.Weekday(p.TestBy()), between)
	if !math.IsNaN(p.ReservoirDays) {
		say("the supplement at hand lasts %s days, until %s", water.FormatAtMost(math.Floor(p.ReservoirDays), 3),
			words.Day(p.Aim.Start.AddDate(0, 0, int(math.Min(p.ReservoirDays, 1e5)))))
	}
	for _, note := range p.Notes {
		say("note: %s", note)
	}
	return out
}

// Beware are the cautions of a plan that are said in a line each.
func (p Plan) Beware() []string { return water.Briefs(p.Cautions()) }
