package study

import (
	"fmt"
	"io"
	"math"
	"strings"

	"leadline/trend"
)

// Page writes the result as a Markdown page. command is the line that made it.
func (r *Result) Page(w io.Writer, command string) error {
	var b strings.Builder
	r.opening(&b, command)
	r.detection(&b)
	r.ceiling(&b)
	r.worlds(&b)
	r.falls(&b)
	r.water(&b)
	r.flag(&b)
	r.parts(&b)
	r.again(&b)
	r.calibration(&b)
	r.undescribed(&b)
	r.closing(&b)
	_, err := io.WriteString(w, b.String())
	return err
}

func (r *Result) opening(b *strings.Builder, command string) {
	fmt.Fprintf(b, `# How good is the engine? A study on simulated tanks

This page is written by a program. To make it again, from the root of the repository:

    %s

The study draws %d simulated tanks (seed %d): %.0f tank-years, %d readings, %d first crossings of the floor, of which %s
happen in a sudden fall of 4 to 14 days. The truth of each tank is known, so every alarm and every interval can be checked.
Constants of the engine and of the rules may be chosen on seed %d and all others, but not on seed %d, which is kept for this page.

`, command, r.Series, r.Seed, r.Years, r.Readings, r.Crossings, percent(share(r.Sudden, r.Crossings)), chooseOn,
		judgeOn)
	b.WriteString(
		`What a tank does: steady well above the floor; steady at 1.6 to 2.2 floors; falling by the same amount or by the same
fraction a day; falling suddenly; falling and then levelling off above the floor; water changes (in the log) over a steady
or falling course; rising; a weekly rhythm of dosing (in the log) or feeding (not in the log) over a steady or falling course.
On top of all of them lies a wobble of 3 to 13 % that dies away within 2 to 12 days. Some time after a crossing the keeper
doses, raises the standing supply, or the level recovers by itself, and after a steady stretch it falls again. The keeper
tests twice weekly, weekly or fortnightly, a day early or late, with tests missed. Kits are fine (a photometer), coarse (a step
comparable with the floor) or a colour card; 1.5 % of readings are blunders; low readings are written as "<" or as zero.

`)
}

func (r *Result) detection(b *strings.Builder) {
	b.WriteString(`## Is the alarm early, and is it calm?

An alarm episode begins at a reading with an alarm and ends after two readings without. It is false when the level is above the
floor at its first reading and does not go below within 42 days. A first crossing (the level goes below the floor after 28 days
or more above it) was called when an episode began within the 60 days before it. Every rule has a threshold, leadline one
on the chance of the floor within 42 days. Here it is set so that the rule gives 0.25, 0.5 and 1 false alarm per tank-year; the entries are the share of first crossings called before
they came / called 7 or more days before.

`)
	heading(b, "detector", "at 0.25", "at 0.5", "at 1 a year", "gradual, at 0.5", "sudden, at 0.5",
		"sudden, by the first reading after")
	for _, row := range append(append([]Row(nil), r.Rules...), r.Engine, r.Generic) {
		p := row.Points[1]
		line(b, row.Name, pair(row.Points[0]), pair(p), pair(row.Points[2]),
			number(p.Gradual, 2), number(p.Sudden, 2), number(p.SuddenInTime, 2))
	}
	fmt.Fprintf(b, `
One standard error of the engine's entries at half a false alarm a year is %s / %s (jackknife over ten groups of tanks, the
threshold set anew for each); those of the rules are of the same size.

`, number(r.ErrorRecall, 3), number(r.ErrorEarly, 3))
}

// ceiling shows how much could be known at all.
func (r *Result) ceiling(b *strings.Builder) {
	t := r.Told
	if t == nil {
		return
	}
	fmt.Fprintf(b, `### How much could be known?

A filter that is told how these tanks were made (every rule of the simulator, how often each kind is drawn, the kits' real
spreads, the keeper's habits) cannot be had in life; it shows how much of what is missed could have been known. On the first
%d tanks:

`, t.Series)
	heading(b, "detector", "at 0.25", "at 0.5", "at 1 a year", "sudden, at 0.5",
		"7-day forecast near the floor: 80 % interval holds",
		"CRPS, floors", "undisturbed")
	for _, row := range t.Rows {
		line(b, row.Name, pair(row.Points[0]), pair(row.Points[1]), pair(row.Points[2]), number(row.Points[1].Sudden, 2),
			percent(row.Near.Cover), number(row.Near.Crps, 3), number(row.Near.Calm, 3))
	}
	b.WriteString("\n")
}

func pair(p Point) string { return number(p.Recall, 2) + " / " + number(p.Early, 2) }

func (r *Result) flag(b *strings.Builder) {
	b.WriteString(`## The product's own flag

The same for "bottoming out" as the program raises and clears it, with no threshold to set. "Held" counts a false alarm
that stays on again every 42 days.

`)
	heading(b, "methods", "false a year", "held", "called", "7 days or more before", "median lead, days", "gradual",
		"sudden",
		"sudden, by the first reading after")
	for _, row := range [...]struct {
		name string
		t    *Tally
	}{{"described", &r.Flag}, {"not described", &r.FlagGeneric}} {
		all := row.t.All()
		line(b, row.name, number(row.t.FalsePerYear(), 2), number(row.t.HeldPerYear(), 2), number(all.Recall(), 2),
			number(all.EarlyRecall(), 2), days(row.t.MedianLead()),
			number(row.t.Gradual.Recall(), 2), number(row.t.Sudden.Recall(), 2), number(row.t.Sudden.InTimeShare(), 2))
	}
	b.WriteString("\n")
}

func (r *Result) parts(b *strings.Builder) {
	b.WriteString(`The flag by what the level does, by how often it is tested, and by kit:

`)
	heading(b, "tanks", "number", "false a year", "share of all false", "first crossings", "called",
		"7 days or more before",
		"median lead, days")
	for _, parts := range [...][]Part{r.ByKind, r.ByCadence, r.ByKit} {
		for _, p := range parts {
			all := p.Tally.All()
			line(b, p.Name, fmt.Sprint(p.Series), number(p.Tally.FalsePerYear(), 2),
				percent(share(p.Tally.False, r.Flag.False)), fmt.Sprint(all.Crossings), number(all.Recall(), 2),
				number(all.EarlyRecall(), 2),
				days(p.Tally.MedianLead()))
		}
	}
	b.WriteString("\n")
}

func (r *Result) again(b *strings.Builder) {
	a, o := r.Again, r.Out
	fmt.Fprintf(b, `### "Bottomed out"

Of %d readings at which the program said "bottomed out", the level was below the floor at %s. Of %d readings with the level below
the floor, %s had this answer or the alarm.

### "Test again now"

Beside the alarm, one low reading that may be the start of a sudden fall is answered by "test again now": %.2f times per
tank-year, %s of them with the level below the floor within 14 days. Of %d sudden crossings, %s were answered by the alarm or by
this no later than the first reading after.

`, o.Said, percent(share(o.Right, o.Said)), o.Below, percent(share(o.Known, o.Below)), float64(a.Asked)/a.Years,
		percent(share(a.Right, a.Asked)), a.Sudden, percent(share(a.Answered, a.Sudden)))
}

func (r *Result) calibration(b *strings.Builder) {
	b.WriteString(`## Do the intervals hold what they promise?

The share of 80 % intervals of the true level that held it. "Near" is where the true level is under three floors; "undisturbed"
leaves out forecasts with a dose, a water change or a change of supply on the way, of which the engine could not know.

`)
	heading(b, "interval", "all", "below / above it", "near", "below / above it", "near, undisturbed")
	c := &r.Calibration
	e := &c.DateEnds
	for _, row := range [...]struct {
		name string
		r    *reach
	}{{"level now", &c.Now}, {"7 days ahead", &c.Ahead7}, {"14 days ahead", &c.Ahead14}} {
		line(b, row.name, percent(row.r.All.Share()), sides(row.r.All),
			percent(row.r.Near.Share()), sides(row.r.Near), percent(row.r.Undisturbed.Share()))
	}
	fmt.Fprintf(b, `
Mean CRPS of the 7-day forecast near the floor: %s floors; undisturbed %s.

The 80 %% range of floor dates at the first alarm of each episode is judged where it can miss. A range that begins at once cannot be
too late, and one with no end within %d days cannot be too early: of the %d that begin later, %s were too late, and of the %d
that end, %s ended too early; each should be a tenth. The middle date missed by %s days in the median.

### Chance of being below the floor: said against seen

`, number(c.Crps.Value(), 3), number(c.CrpsUndisturbed.Value(), 3), int(trend.Horizon), e.Begin,
		percent(share(e.Before, e.Begin)), e.End, percent(share(e.After, e.End)), days(median(c.DateMisses)))
	reliabilityTable(b, c)
}

func reliabilityTable(b *strings.Builder, c *Calibration) {
	heading(b, "chance said", "14 days: said", "seen", "forecasts", "28 days: said", "seen", "forecasts", "42 days: said",
		"seen", "forecasts")
	for i := range c.P14 {
		cells := []string{fmt.Sprintf("%.2f to %.2f", binEdges[i], binEdges[i+1])}
		for _, t := range [...]*Reliability{&c.P14, &c.P28, &c.P42} {
			n := float64(t[i].N)
			cells = append(cells, number(t[i].Said/n, 2), number(float64(t[i].Happened)/n, 2), fmt.Sprint(t[i].N))
		}
		line(b, cells...)
	}
	fmt.Fprintf(b, "\nMean distance between said and seen: %s (14 days), %s (28), %s (42).\n\n",
		number(c.P14.Error(), 3), number(c.P28.Error(), 3), number(c.P42.Error(), 3))
}

func (r *Result) undescribed(b *strings.Builder) {
	c := &r.CalGeneric
	fmt.Fprintf(b, `## When the keeper never described the method

The same readings, each taken as the number typed; the engine weighs the common kinds of kit against each other: level now
%s (near %s), 7 days ahead %s (%s), 14 days ahead %s (%s); CRPS near the floor %s floors.

`, percent(c.Now.All.Share()), percent(c.Now.Near.Share()), percent(c.Ahead7.All.Share()),
		percent(c.Ahead7.Near.Share()),
		percent(c.Ahead14.All.Share()), percent(c.Ahead14.Near.Share()), number(c.Crps.Value(), 3))
}

func (r *Result) worlds(b *strings.Builder) {
	if len(r.Everywhere.Worlds) == 0 {
		return
	}
	fmt.Fprintf(b, `## In worlds that it was not made for

The simulator altered in one point at a time, and another one of a different build, in which uptake wanders for months, tanks fall
once or often or never, the keeper acts on what the kit says, and a quarter of the kits are not described: %d tanks of each
(three times as many where declines are rare). The ruler is the straight line through the last six readings that a keeper would
trust: significant at 95 %%. The switching filter shares nothing with the engine: a crowd of guesses that stand, fall by amount
or by share, or rise. "Near" is under three floors; "worst" is the worst world of each column.

`, r.Everywhere.Tanks)
	r.Everywhere.Table(b)
	b.WriteString("\n")
}

func (r *Result) falls(b *strings.Builder) {
	if len(r.Slides) == 0 {
		return
	}
	fmt.Fprintf(b, `## Plain falls

The level stands for six weekly tests, then falls straight, or in proportion, to the floor within 4 to 18 weeks, from 3 to 14 floors,
with a wobble of 3 %% and no blunders. The slope is judged from two weeks into the fall on. Lead is the median number of days from
the first flag of the fall to the floor, 0 without one. The ruler warns where its line is significant and under the floor
within %d days. Overruled: the ruler warned twice in a row and the flag was still down a test later.

`, falseDays)
	SlideTable(b, r.Slides, r.SlideRuns, false)
	b.WriteString("\n")
}

func (r *Result) water(b *strings.Builder) {
	if len(r.Waters) == 0 {
		return
	}
	b.WriteString(`## Real water

Public series of rivers (sources and terms in testdata/reference/README.md). Their truth is not known, so the next reading, at its
actual gap, is held against what was said of it. The local linear trend on the logarithm is fitted to the first third of each series by
likelihood; the other two thirds are judged. The floor is what a third of the first third lies under. The base rate is known only
afterwards.

`)
	WaterTable(b, r.Waters)
	b.WriteString("\n")
}

func (r *Result) closing(b *strings.Builder) {
	b.WriteString(`## Limits

- The tanks are invented. Real ones may wobble longer, fall in ways not drawn here, or be tested only when something looks wrong.
- How often each kind of tank, kit and blunder is drawn is a guess from common practice; another mix gives other numbers, and
  false alarms per year depend on the mix most of all.
- The doses and water changes in the log are exact here. Real ones are not.
- Except in the altered worlds, the spread that a keeper describes is within about 10 % of the real one, and reagents do not drift.
- An alarm raised when the level is below the floor already counts neither as a call nor as false.
`)
}

// heading begins a table.
func heading(w io.Writer, names ...string) {
	line(w, names...)
	fmt.Fprintln(w, "|"+strings.Repeat(" --- |", len(names)))
}

// line writes one line of a table.
func line(w io.Writer, cells ...string) { fmt.Fprintln(w, "| "+strings.Join(cells, " | ")+" |") }

func percent(x float64) string {
	if math.IsNaN(x) {
		return "–"
	}
	return fmt.Sprintf("%.0f %%", 100*x)
}

// number is x with so many decimals, or a dash.
func number(x float64, decimals int) string {
	if math.IsNaN(x) {
		return "–"
	}
	return fmt.Sprintf("%.*f", decimals, x)
}

func days(x float64) string {
	if math.IsNaN(x) {
		return "–"
	}
	if math.IsInf(x, 1) {
		return "later"
	}
	return fmt.Sprintf("%.0f", x)
}

func sides(c Cover) string {
	return percent(share(c.Under, c.N)) + " / " + percent(share(c.Over, c.N))
}
