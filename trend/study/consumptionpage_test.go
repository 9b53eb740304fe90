package study

import (
	"fmt"
	"io"
	"strings"
)

// DemandPage draws so many tanks of every kind, scores the engine's demand and the plain rules on them, and writes the
// page. command is how the page is made.
func DemandPage(w io.Writer, seed uint64, tanks int, command string) error {
	var b strings.Builder
	fmt.Fprintf(&b, `# How well is demand estimated?

Made by:

    %s

Simulated tanks whose true demand is known at every moment: %d of each kind (seed %d), ten to sixteen months each. The demand
doubles in 6 to 24 months; on top of that it swings by 2 to 8 %% (one standard deviation) and returns within 7 to 40 days. The
keeper tests alkalinity every 1 to 4 days and calcium every 2 to 5, with titrations of ordinary scatter and step; sets the
dosing anew when the level has left its target; lifts it by a dose; and changes 5 to 20 %% of the water every one to four weeks.
Constants of the engine were chosen on other seeds.

Every rule answers as-of each reading with nothing known of what came later. The error is relative to the true demand (root mean
square), over the readings from the %dth day on. "Holds" is the share of 80 %% intervals that held the truth; "early" is the same
for the readings before that day, from the third on.

`, command, tanks, seed, burnIn)
	kinds := ConsumerKinds()
	for i, name := range []string{"Alkalinity", "Calcium"} {
		fmt.Fprintf(&b, "## %s\n\n| tanks | engine | holds | early | last two readings + dose | line over 28 days + dose "+
			"|\n| --- | --- | --- | --- | --- | --- |\n", name)
		for _, k := range kinds {
			alkalinity, calcium := k.Draw(seed, tanks)
			cs := [...][]Consumer{alkalinity, calcium}[i]
			engine := ScoreDemand(cs, EngineDemand)
			fmt.Fprintf(&b, "| %s | %.3f | %s | %s | %.3f | %.3f |\n", k.Name, engine.RMSE, percent(engine.Covered),
				percent(engine.Early),
				ScoreDemand(cs, LastTwoDemand).RMSE, ScoreDemand(cs, LineDemand).RMSE)
		}
		b.WriteString("\n")
	}
	fmt.Fprintf(&b, `## Nitrate and phosphate

%d tanks whose net uptake changes at once, by what empties them to the floor in 6 to 20 weeks, or by as much the other way; weekly
tests; every other tank dosed. By tests after the jump:

| test | holds | said more | said less | sign right |
| --- | --- | --- | --- | --- |
`, 5*tanks)
	for after, s := range ScoreJumps(Jumps(seed, 5*tanks)) {
		n := s.Demand.N
		name, sign := fmt.Sprint(after), percent(share(s.Sign, n))
		if after == 0 {
			name, sign = "before", ""
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s |\n", name, percent(s.Demand.Share()), percent(share(s.Demand.Under, n)),
			percent(share(s.Demand.Over, n)), sign)
	}
	b.WriteString(`
## What this does not show

The tanks are simulated, by the same people who wrote the engine, and their growth and swing are of the sort that the engine
expects. Where a demand does not swing at all the intervals are too wide, since the engine takes a while to believe it; where it
swings more, or faster, than in ordinary tanks, they are too narrow, most of all in the first weeks. "Method not described"
shows the engine the spread and step of a common kit in place of the real ones. A dose that was not noted down is taken for a
lower demand.
`)
	_, err := io.WriteString(w, b.String())
	return err
}
