package alerts

import (
	"fmt"
	"math"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

// The sentences of this file are what the program says of a parameter; every one carries its numbers, their units and how
// sure they are, and package words prints them. Numbers are in the canonical unit, ranges are 80 % unless they say otherwise.

// LevelText is the level with its 80 % interval, such as "0.031 mg/L (0.024–0.039)".
func (l Finding) LevelText() string {
	as := l.Assessment
	if math.IsNaN(as.Level) {
		return "level unknown"
	}
	return words.QuantityRange(l.Parameter, as.Level, as.LevelLo, as.LevelHi)
}

// LevelRange is LevelText without the unit; "" where there are no readings.
func (l Finding) LevelRange() string {
	switch as := l.Assessment; {
	case as.N == 0:
		return ""
	case math.IsNaN(as.Level):
		return "unknown"
	default:
		return words.Range(l.Parameter, as.Level, as.LevelLo, as.LevelHi)
	}
}

// LevelBetween is the 80 % interval of the level, without the unit.
func (l Finding) LevelBetween() string {
	as := l.Assessment
	if math.IsNaN(as.LevelLo) || math.IsNaN(as.LevelHi) || as.N == 0 {
		return "unknown"
	}
	return words.Between(l.Parameter, as.LevelLo, as.LevelHi)
}

// FloorDays is the time to the floor as a 10–90 % range, such as "9–31 d", "62+ d" where its end is out of sight, and
// "any day" where only its beginning is here; "" where there is no floor, or it is not in sight.
func (l Finding) FloorDays() string {
	as := l.Assessment
	switch {
	case math.IsNaN(as.Floor) || as.N == 0:
		return ""
	case as.BottomedOut:
		return "below it"
	case math.IsNaN(as.FloorP10) || math.IsInf(as.FloorP10, 0):
		return ""
	}
	return words.Span(as.FloorP10, as.FloorP90)
}

// BandText is the band in the canonical unit, without it: "3–12", "from 3", "up to 12"; "" where none is set.
func (l Finding) BandText() string {
	switch {
	case !l.Band.Set():
		return ""
	case math.IsNaN(l.Band.High):
		return "from " + words.Number(l.Parameter, l.Band.Low)
	case math.IsNaN(l.Band.Low):
		return "up to " + words.Number(l.Parameter, l.Band.High)
	}
	return words.Between(l.Parameter, l.Band.Low, l.Band.High)
}

// Words say where the level stands in the band.
func (s BandState) Words() string {
	switch s {
	case BandInside:
		return "in band"
	case BandNearLow:
		return "near low"
	case BandNearHigh:
		return "near high"
	case BandBelow:
		return "too low"
	case BandAbove:
		return "too high"
	case BandNone:
		return "no band"
	default:
		return "unknown"
	}
}

// DueText is when the next test is due, in short; "" where none is.
func (l Finding) DueText(now time.Time) string {
	switch {
	case !l.Due.IsZero():
		return words.Due(l.Due, now)
	case len(l.Readings) == 0 && l.Band.Set():
		return "first test"
	default:
		return ""
	}
}

// fewestForSlope is the fewest readings of which a slope is spoken: through two there is always a line.
const fewestForSlope = 3

// SlopeText is the direction and the net slope, such as "falling 0.006 mg/L a week (0.002–0.010)", or what it would
// take to tell.
func (l Finding) SlopeText() string {
	as := l.Assessment
	slope := func(v float64) string { return water.Format(v, l.Parameter.Digits+1) }
	if as.N < fewestForSlope {
		return "too few readings to tell a direction"
	}
	switch as.Direction {
	case trend.Falling:
		return fmt.Sprintf("falling %s a week (%s–%s)", words.WithUnit(slope(-as.SlopePerWeek), l.Parameter.Unit), slope(-as.SlopeHi), slope(-as.SlopeLo))
	case trend.Rising:
		return fmt.Sprintf("rising %s a week (%s–%s)", words.WithUnit(slope(as.SlopePerWeek), l.Parameter.Unit), slope(as.SlopeLo), slope(as.SlopeHi))
	case trend.Steady:
		return fmt.Sprintf("steady (%s to %s a week)", words.Signed(as.SlopeLo, l.Parameter.Digits+1), words.WithUnit(words.Signed(as.SlopeHi, l.Parameter.Digits+1), l.Parameter.Unit))
	default:
		if math.IsNaN(as.SlopeLo) || math.IsNaN(as.SlopeHi) {
			return "too few readings to tell a direction"
		}
		if math.Max(-as.SlopeLo, as.SlopeHi) > math.Max(as.LevelHi, l.Parameter.AskHigh-l.Parameter.AskLow) {
			return "no clear direction: so few readings leave it open" // a change of all there is in a week is no bound
		}
		return fmt.Sprintf("no clear direction (%s to %s a week)", words.Signed(as.SlopeLo, l.Parameter.Digits+1), words.WithUnit(words.Signed(as.SlopeHi, l.Parameter.Digits+1), l.Parameter.Unit))
	}
}

// FloorText says when the level is expected below the floor, as a range, or that it is not within sight.
func (l Finding) FloorText(asOf time.Time) string {
	as := l.Assessment
	switch {
	case math.IsNaN(as.Floor):
		return "no floor set"
	case as.BottomedOut:
		return "below the floor now"
	case math.IsNaN(as.PFloor42):
		return "too few readings to tell when it would reach the floor"
	case math.IsInf(as.FloorP10, 1):
		return fmt.Sprintf("not below the floor within %d days (chance under 10 %%)", trend.Horizon)
	}
	date := func(days float64) string { return words.ShortDay(asOf.Add(time.Duration(days * dayNanos))) }
	if math.IsInf(as.FloorP50, 1) {
		if as.FloorP10 == 0 {
			return fmt.Sprintf("one chance in ten that it is below the floor of %s already, more likely not before %s",
				words.Quantity(l.Parameter, as.Floor), words.ShortDay(asOf.AddDate(0, 0, trend.Horizon)))
		}
		return fmt.Sprintf("could be below the floor of %s from %s on (one chance in ten), more likely not before %s",
			words.Quantity(l.Parameter, as.Floor), date(as.FloorP10), words.ShortDay(asOf.AddDate(0, 0, trend.Horizon)))
	}
	floor := words.Quantity(l.Parameter, as.Floor)
	switch {
	case as.FloorP50 == 0:
		return fmt.Sprintf("as likely as not below the floor of %s already", floor)
	case !math.IsInf(as.FloorP90, 1) && as.FloorP10 > 0:
		return fmt.Sprintf("below the floor of %s between %s and %s, as likely as not by %s", floor, date(as.FloorP10), date(as.FloorP90), date(as.FloorP50))
	case as.FloorP10 > 0:
		return fmt.Sprintf("as likely as not below the floor of %s by %s, one chance in ten by %s", floor, date(as.FloorP50), date(as.FloorP10))
	default:
		return fmt.Sprintf("as likely as not below the floor of %s by %s, one chance in ten already", floor, date(as.FloorP50))
	}
}

func (l Finding) bottomingOutSentence(asOf time.Time) string {
	heading := "is heading for zero"
	if l.Assessment.Direction != trend.Falling {
		heading = "may be heading for zero"
	}
	return fmt.Sprintf("%s %s: %s, %s; %s (chance within 42 days %s)",
		l.Parameter.Name, heading, l.LevelText(), l.SlopeText(), l.FloorText(asOf), words.Percent(l.Assessment.PFloor42))
}

func (l Finding) bottomedOutSentence() string {
	return fmt.Sprintf("%s has bottomed out: %s, below your floor of %s; the last reading is %s of %s",
		l.Parameter.Name, l.LevelText(), words.Quantity(l.Parameter, l.Assessment.Floor), l.latestText(), words.Day(l.latestTime()))
}

func (l Finding) testAgainSentence() string {
	return fmt.Sprintf("%s may have dropped suddenly: %s on %s is far under what the earlier readings led to expect; test again now",
		l.Parameter.Name, l.latestText(), words.Day(l.latestTime()))
}

func (l Finding) bandSentence(state BandState, edge float64) string {
	where := map[BandState]string{
		BandBelow:    "is below your band",
		BandAbove:    "is above your band",
		BandNearLow:  "is near the lower edge of your band",
		BandNearHigh: "is near the upper edge of your band",
	}[state]
	return fmt.Sprintf("%s %s (edge %s): %s, %s; the last reading is %s of %s", l.Parameter.Name, where,
		words.Quantity(l.Parameter, edge), l.LevelText(), l.SlopeText(), l.latestText(), words.Day(l.latestTime()))
}

// beyondSentence says that a probe shows more than the level of the last days does.
func (l Finding) beyondSentence(state BandState, edge, shown float64) string {
	where := "below the lower"
	if state == BandNearHigh {
		where = "above the upper"
	}
	return fmt.Sprintf("the probe has shown %s of %s for two hours, %s edge of your band (%s); the level of the last days is %s, %s",
		words.Quantity(l.Parameter, shown), l.Parameter.Name, where, words.Quantity(l.Parameter, edge), l.LevelText(), l.SlopeText())
}

func (l Finding) suspectSentence() string {
	e := l.Assessment.Expected
	return fmt.Sprintf("the %s reading of %s, %s, is far from what the last weeks predict (%s to %s): test again before dosing",
		l.Parameter.Name, words.Day(l.latestTime()), l.latestText(), words.Number(l.Parameter, e.Lo), words.Quantity(l.Parameter, e.Hi))
}

// Reasons are the plain sentences behind an assessment: what it rests on and what to bear in mind.
func (l Finding) Reasons(asOf time.Time) []string {
	as := l.Assessment
	if as.N == 0 {
		return []string{"no readings up to " + words.Day(asOf)}
	}
	rs := []string{fmt.Sprintf("%d readings from %s to %s; the last is %s", as.N, words.Day(l.Readings[0].Time), words.Day(l.latestTime()), l.latestText())}
	if l.Thinned {
		rs = append(rs, thinnedText())
	}
	rs = append(rs, fmt.Sprintf("level now %s, %s", l.LevelText(), l.SlopeText()))
	if !math.IsNaN(as.Floor) {
		rs = append(rs, l.FloorText(asOf), fallsText(as.FallsPerYear))
	}
	if r := as.Rolling; r.Method != "" && !math.IsNaN(r.SlopePerWeek) {
		rs = append(rs, fmt.Sprintf("without a model, %d readings in %s: %s a week (95 %% %s to %s), Mann–Kendall p %s", r.N, words.Days(r.WindowDays),
			words.WithUnit(water.Format(r.SlopePerWeek, l.Parameter.Digits+1), l.Parameter.Unit),
			water.Format(r.Lo, l.Parameter.Digits+1), water.Format(r.Hi, l.Parameter.Digits+1), pText(r.P)))
	}
	for _, n := range append(as.Notes, as.Rolling.Notes...) {
		rs = append(rs, n.Text)
	}
	return rs
}

// fallsText says on which base rate the chances rest.
func fallsText(perYear float64) string {
	if perYear >= 1 {
		return fmt.Sprintf("the chances take this for a tank in which about %.1f falls begin in a year", perYear)
	}
	return fmt.Sprintf("the chances take this for a tank in which a fall begins about every %.0f months", 12/perYear)
}

// evidence is what an alert about a level rests on, ready for JSON.
func (l Finding) evidence(asOf time.Time) map[string]any {
	as := l.Assessment
	ev := map[string]any{
		"unit":           l.Parameter.Unit,
		"n":              as.N,
		"level":          finite(as.Level),
		"level_lo":       finite(as.LevelLo),
		"level_hi":       finite(as.LevelHi),
		"slope_per_week": finite(as.SlopePerWeek),
		"as_of":          logbook.FormatTime(asOf),
	}
	if n := len(l.Readings); n > 0 {
		ev["latest"] = l.Readings[n-1].Text + " " + l.Readings[n-1].Unit
		ev["latest_time"] = logbook.FormatTime(l.latestTime())
	}
	if !math.IsNaN(as.Floor) {
		ev["floor"] = as.Floor
		ev["p_floor_14d"] = finite(as.PFloor14)
		ev["p_floor_42d"] = finite(as.PFloor42)
	}
	return ev
}

// finite is v, or nil where v is not a number that JSON can carry.
func finite(v float64) any {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return v
}

// latestText is the last reading as it was typed.
func (l Finding) latestText() string {
	if n := len(l.Readings); n > 0 {
		return words.Typed(l.Readings[n-1])
	}
	return "no reading"
}

func (l Finding) latestTime() time.Time {
	if n := len(l.Readings); n > 0 {
		return l.Readings[n-1].Time
	}
	return time.Time{}
}

// timeOfReading is the time, as logged, of the first reading at or after a day.
func (l Finding) timeOfReading(day float64) time.Time {
	const second = 1.0 / 86400
	for _, r := range l.Readings {
		if Day(r.Time) >= day-second {
			return r.Time
		}
	}
	return l.latestTime()
}

// runStart is the time of the first reading of the unbroken run of latest readings for which ok holds; the latest
// reading's where it does not hold there.
func (l Finding) runStart(ok func(logbook.Reading) bool) time.Time {
	start := l.latestTime()
	for i := len(l.Readings) - 1; i >= 0 && ok(l.Readings[i]); i-- {
		start = l.Readings[i].Time
	}
	return start
}

// pText is a p-value in words that end a sentence: "= 0.031", "under 0.001".
func pText(p float64) string {
	if p < 0.001 {
		return "under 0.001"
	}
	return "= " + water.Format(p, 3)
}
