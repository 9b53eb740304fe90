package alerts

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"strings"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

// The sentences of this file are what the program says of a parameter; every one carries its numbers, their units and
// how sure they are, and package words prints them. Numbers are in the unit shown, ranges are 80 % unless they say
// otherwise.

// LevelText is the level with its 80 % interval, such as "0.031 mg/L (0.024–0.039)". Since a dose it is only reckoned.
func (l Finding) LevelText() string {
	as := l.Assessment
	if math.IsNaN(as.Level) {
		return "level unknown"
	}
	if given := l.DosedSince(); given > 0 {
		return fmt.Sprintf("not known since %s was dosed, reckoned ", words.Rise(l.Parameter, given)) +
			words.QuantityRange(l.Parameter, as.Level, as.LevelLo, as.LevelHi)
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

// FloorDays is the time to the floor in days, "~31 d", as the date that is told with "about"; "maybe 9 d" is when the
// chance is a tenth, where it does not come to a half in sight, and "any day" where that is now. It is "" where there
// is no floor, or it is not in sight: the chance within 42 days, which is what alerts look at, is under a tenth.
func (l Finding) FloorDays() string {
	as := l.Assessment
	switch {
	case math.IsNaN(as.Floor) || as.N == 0 || l.DosedSince() > 0:
		return ""
	case as.BottomedOut:
		return "below it"
	case math.IsNaN(as.FloorP10) || as.FloorP10 > 42:
		return ""
	}
	switch about := l.floorAbout(); {
	case about < 0.5:
		return "now"
	case !math.IsInf(about, 1):
		return fmt.Sprintf("~%.0f d", about)
	case as.FloorP10 < 0.5:
		return "any day"
	default:
		return fmt.Sprintf("maybe %.0f d", as.FloorP10)
	}
}

// BandText is the band without its unit: "3–12", "from 3", "up to 12"; "" where none is set.
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

// Stale reports whether a whole test has been missed, so that what the readings told of the moment is too old.
func (l Finding) Stale() bool {
	n, every := len(l.Readings), l.usualDays()
	return n > 0 && every > 0 && l.Assessment.AsOf-Day(l.Readings[n-1].Time) >= 2*every
}

// HeadingWords say where the level is heading.
func (l Finding) HeadingWords() string {
	switch {
	case l.Assessment.N == 0:
		return ""
	case l.Stale():
		return "too old"
	case l.Heading() == trend.Unknown:
		return "not clear"
	}
	return l.Heading().String()
}

// BandWords say where the level stands in the band.
func (l Finding) BandWords() string {
	said := map[BandState]string{
		BandInside: "in band", BandNearLow: "near low", BandNearHigh: "near high", BandBelow: "too low",
		BandAbove: "too high", BandNone: "no band",
	}[l.BandState]
	switch {
	case said == "" && l.tooOld(l.Assessment.AsOf):
		return "too old to tell"
	case l.BandState == BandUnknown && l.DosedSince() > 0:
		return "dosed, untested"
	}
	return cmp.Or(said, "unknown")
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

// Heading is the direction of the level: none where the slope may as well go the other way.
func (l Finding) Heading() trend.Direction {
	as := l.Assessment
	if as.Direction == trend.Falling && as.SlopeHi > 0 || as.Direction == trend.Rising && as.SlopeLo < 0 {
		return trend.Unknown
	}
	return as.Direction
}

// SlopeText is the direction and the net slope, such as "falling 0.006 mg/L a week (0.002–0.010)", or what it would
// take to tell.
func (l Finding) SlopeText() string {
	as := l.Assessment
	p := l.Parameter
	slope := func(v float64) string { return words.Finer(p, v) }
	signed := func(v float64) string { return words.SignedChange(p, v, 1) }
	if as.N < fewestForSlope {
		return "too few readings to tell a direction"
	}
	switch l.Heading() {
	case trend.Falling:
		return fmt.Sprintf("falling %s a week (%s–%s)", words.WithUnit(slope(-as.SlopePerWeek), words.Unit(p)),
			slope(-as.SlopeHi), slope(-as.SlopeLo))
	case trend.Rising:
		return fmt.Sprintf("rising %s a week (%s–%s)", words.WithUnit(slope(as.SlopePerWeek), words.Unit(p)),
			slope(as.SlopeLo), slope(as.SlopeHi))
	case trend.Steady:
		return fmt.Sprintf("steady (%s to %s a week)", signed(as.SlopeLo), words.WithUnit(signed(as.SlopeHi), words.Unit(p)))
	default:
		if math.IsNaN(as.SlopeLo) || math.IsNaN(as.SlopeHi) {
			return "too few readings to tell a direction"
		}
		if math.Max(-as.SlopeLo, as.SlopeHi) > math.Max(as.LevelHi, p.AskHigh-p.AskLow) {
			return "no clear direction: so few readings leave it open" // a change of all there is in a week is no bound
		}
		return fmt.Sprintf("no clear direction (%s to %s a week)", signed(as.SlopeLo),
			words.WithUnit(signed(as.SlopeHi), words.Unit(p)))
	}
}

// floorAbout is in how many days the level reaches the floor: when the chance is a half, or by the rate that is said if
// that is earlier, so that level, rate and date fit each other; never before the chance is a tenth.
func (l Finding) floorAbout() float64 {
	as := l.Assessment
	if l.Heading() != trend.Falling || !(as.Level > as.Floor) {
		return as.FloorP50
	}
	byRate := (as.Level - as.Floor) / (-as.SlopePerWeek / 7)
	if byRate > trend.Horizon || math.IsInf(as.FloorP10, 1) {
		return as.FloorP50
	}
	return math.Min(as.FloorP50, math.Max(byRate, as.FloorP10))
}

// FloorText says when the level may reach the floor, or that it is not within sight: "about" the day by which the
// chance is a half, "maybe by" that by which it is a tenth.
func (l Finding) FloorText(asOf time.Time) string {
	as, about := l.Assessment, l.floorAbout()
	floor := words.Quantity(l.Parameter, as.Floor)
	switch {
	case math.IsNaN(as.Floor):
		return "no floor set"
	case l.DosedSince() > 0:
		return "whether it reaches the floor of " + floor + " is not known since the dose: test first"
	case as.BottomedOut:
		return "below the floor of " + floor + " now"
	case math.IsNaN(as.PFloor42):
		return "too few readings to tell when it would reach the floor"
	case math.IsInf(as.FloorP10, 1):
		return fmt.Sprintf("not at the floor of %s within %d days", floor, trend.Horizon)
	case math.IsInf(about, 1) && as.FloorP10 == 0:
		return "maybe at the floor of " + floor + " already"
	case math.IsInf(about, 1):
		return "may reach the floor of " + floor + " by " + dateIn(asOf, as.FloorP10)
	case about == 0:
		return "probably at the floor of " + floor + " now"
	case as.FloorP10 == 0:
		return "at the floor of " + floor + " about " + dateIn(asOf, about) + ", maybe already"
	default:
		return "at the floor of " + floor + " about " + dateIn(asOf, about) + ", maybe by " + dateIn(asOf, as.FloorP10)
	}
}

// FloorChance is the chance of an assessment, in percent, to go below the floor within 28 or 42 days. Where the level
// is already there that says nothing, and it is the chance to be below on that day.
func (l Finding) FloorChance(of trend.Assessment, days float64) (chance string, already bool) {
	already = l.Assessment.Level < l.Assessment.Floor
	then, told := ForecastIn(of, days)
	switch {
	case already && told:
		return words.Percent(then.Below), true
	case days == 28:
		return words.Percent(of.PFloor28), already
	}
	return words.Percent(of.PFloor42), already
}

// ForecastIn is the forecast for some days ahead.
func ForecastIn(a trend.Assessment, days float64) (trend.ForecastPoint, bool) {
	return words.First(a.Forecast, func(f trend.ForecastPoint) bool { return f.Days == days })
}

// chancesText is what FloorText rests on: the chances, and the days by which they are a tenth, a half and nine tenths.
func (l Finding) chancesText(asOf time.Time) string {
	as := l.Assessment
	if math.IsNaN(as.PFloor42) {
		return "no chance of reaching the floor can be told yet"
	}
	var days []string
	for _, at := range []struct{ chance, days float64 }{{0.1, as.FloorP10}, {0.5, as.FloorP50}, {0.9, as.FloorP90}} {
		if !math.IsInf(at.days, 1) {
			days = append(days, words.Percent(at.chance)+" by "+dateIn(asOf, at.days))
		}
	}
	text := fmt.Sprintf("chance below the floor: %s within 14 days, %s within 42", words.Percent(as.PFloor14),
		words.Percent(as.PFloor42))
	return strings.Join(append([]string{text}, days...), "; ")
}

func (l Finding) levelAndSlope() string {
	return "level " + l.LevelText() + ", " + l.SlopeText() + "; last reading " + l.latestText() + " of " +
		words.ShortDay(l.latestTime())
}

// Reasons are the sentences behind an assessment: Stand, and then Why.
func (l Finding) Reasons(asOf time.Time) []string { return append(l.Stand(asOf), l.Why(asOf)...) }

// Stand says where the parameter stands, and what to bear in mind.
func (l Finding) Stand(asOf time.Time) []string {
	as := l.Assessment
	if as.N == 0 {
		return []string{"no readings up to " + words.Day(asOf)}
	}
	rs := []string{fmt.Sprintf("%d readings from %s to %s; the last is %s", as.N, words.Day(l.Readings[0].Time),
		words.Day(l.latestTime()), l.latestText())}
	if l.Thinned {
		const what = "chosen from a dense log (more than %d readings a day): one a day for eight weeks, one a week before, " +
			"and the last"
		rs = append(rs, fmt.Sprintf(what, DenseCrowd))
	}
	rs = append(rs, fmt.Sprintf("level now %s, %s", l.LevelText(), l.SlopeText()))
	if !math.IsNaN(as.Floor) {
		rs = append(rs, l.FloorText(asOf))
	}
	return append(rs, words.Of(as.Notes, noteText)...)
}

// Why is what that rests on: the chances, the base rate they assume, and what the readings say without a model.
func (l Finding) Why(asOf time.Time) (rs []string) {
	as := l.Assessment
	if as.N == 0 {
		return nil
	}
	if !math.IsNaN(as.Floor) {
		falls := fmt.Sprintf("a fall begins about every %.0f months", 12/as.FallsPerYear)
		if as.FallsPerYear >= 1 {
			falls = fmt.Sprintf("about %.1f falls begin in a year", as.FallsPerYear)
		}
		rs = append(rs, l.chancesText(asOf), "the chances take this for a tank in which "+falls)
	}
	if r := as.Rolling; r.Method != "" && !math.IsNaN(r.SlopePerWeek) {
		p := "= " + water.Format(r.P, 3)
		if r.P < 0.001 {
			p = "under 0.001"
		}
		rs = append(rs, fmt.Sprintf("without a model, %d readings in %s: %s a week (95 %% %s to %s), Mann–Kendall p %s", r.N,
			words.Days(r.WindowDays), words.WithUnit(words.Finer(l.Parameter, r.SlopePerWeek), words.Unit(l.Parameter)),
			words.Finer(l.Parameter, r.Lo), words.Finer(l.Parameter, r.Hi), p))
	}
	return append(rs, words.Of(as.Rolling.Notes, noteText)...)
}

func noteText(n trend.Note) string { return n.Text }

// evidence is what an alert about a level rests on, ready for JSON, with what is said by its rule alone.
func (l Finding) evidence(asOf time.Time, more map[string]any) map[string]any {
	as := l.Assessment
	ev := map[string]any{
		"unit": l.Parameter.Unit, "n": as.N, "as_of": logbook.FormatTime(asOf), "slope_per_week": finite(as.SlopePerWeek),
		"level": finite(as.Level), "level_lo": finite(as.LevelLo), "level_hi": finite(as.LevelHi),
	}
	if n := len(l.Readings); n > 0 {
		ev["latest"] = l.Readings[n-1].Text + " " + l.Readings[n-1].Unit
		ev["latest_time"] = logbook.FormatTime(l.latestTime())
	}
	if !math.IsNaN(as.Floor) {
		ev["floor"], ev["p_floor_14d"], ev["p_floor_42d"] = as.Floor, finite(as.PFloor14), finite(as.PFloor42)
	}
	maps.Copy(ev, more)
	return ev
}

// finite is v, or nil where v is not a number that JSON can carry.
func finite(v float64) any {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return v
}

func (l Finding) latestText() string {
	if n := len(l.Readings); n > 0 {
		return words.Shown(l.Parameter, l.Readings[n-1])
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
	r, found := words.First(l.Readings, func(r logbook.Reading) bool { return Day(r.Time) >= day-second })
	if !found {
		return l.latestTime()
	}
	return r.Time
}
