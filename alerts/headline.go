package alerts

import (
	"fmt"
	"math"
	"time"

	"github.com/charmbracelet/x/ansi"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
)

// The headlines of alerts: what it is, its value, by when, and what to do next. Numbers stand without their unit, as in
// a table under its name. What to do is common practice, no source, and never more than a first step.

// HeadlineWidth is how many cells a headline takes at most.
const HeadlineWidth = 70

// headline is the first of some wordings that fits, so the fullest comes first; the last is cut where none does.
func headline(wordings ...string) string {
	for _, w := range wordings {
		if w = logbook.Clean(w); ansi.StringWidth(w) <= HeadlineWidth {
			return w
		}
	}
	return ansi.Truncate(logbook.Clean(wordings[len(wordings)-1]), HeadlineWidth, "…")
}

// nowText is the parameter and where it is now: the latest reading, or the level where that does not fit the reading.
func (l Finding) nowText() string {
	as, n := l.Assessment, len(l.Readings)
	value := words.Value(l.Parameter, l.Readings[n-1])
	if fits := as.LevelLo <= as.Latest.Value && as.Latest.Value <= as.LevelHi; !fits &&
		l.Readings[n-1].Bound == logbook.Exact {
		return l.levelNow()
	}
	return l.Parameter.Name + " " + value
}

func (l Finding) levelNow() string {
	return l.Parameter.Name + " about " + words.Number(l.Parameter, l.Assessment.Level)
}

// dateIn is a day so many days from a moment.
func dateIn(asOf time.Time, days float64) string {
	return words.ShortDay(asOf.Add(time.Duration(days * dayNanos)))
}

func (l Finding) retest(asOf time.Time) string {
	if l.probe.writes {
		return "watch it"
	}
	if l.Due.IsZero() || l.OnTestDay(asOf) {
		return "retest now"
	}
	return "retest on " + words.ShortDay(l.Due.In(asOf.Location()))
}

// fromFloor and towards are the first step away from a floor, and towards a higher level or a lower one: of what is not
// known, a test. Food is named at a floor alone: it raises both nutrients, of which the other may be too high.
func (l Finding) fromFloor() string {
	if name := l.Parameter.Name; !l.testFirst() && (name == "nitrate" || name == "phosphate") {
		return feedOrDose
	}
	return l.towards(true)
}

const (
	feedOrDose = "feed or dose"
	testFirst  = "test again first"
)

func (l Finding) towards(higher bool) string {
	switch p := l.Parameter; {
	case l.testFirst():
		return testFirst
	case !higher && l.Supply > 0:
		return "dose less from today"
	case !higher && (p.Name == "nitrate" || p.Name == "phosphate"):
		return "change water this week, retest"
	case !higher && (p.Name == "ammonia" || p.Name == "nitrite"):
		return "retest now, change water"
	case higher && p.Name == "temperature":
		return "check the heater today"
	case p.Name == "temperature":
		return "check the cooling today"
	case p.Name == "salinity":
		return "check the top-up today"
	case p.Doseable() != nil:
		return "retest today, then find out why"
	case higher:
		return "raise it slowly from today"
	default:
		return "add none for now"
	}
}

func (l Finding) bottomedOutHeadline(asOf time.Time) string {
	below := fmt.Sprintf("%s, below your floor %s: ", l.nowText(), words.Number(l.Parameter, l.Assessment.Floor))
	if l.tooOld(Day(asOf)) {
		return headline(fmt.Sprintf("%s on %s, below your floor: retest now", l.nowText(), words.ShortDay(l.latestTime())),
			l.nowText()+", below floor: retest now")
	}
	act, short := l.fromFloor(), l.nowText()+", below floor: "
	if act == feedOrDose {
		act += " today"
		return headline(below+act+", in small steps", short+act+", in small steps", below+act, short+act)
	}
	return headline(below+act, short+act)
}

// bottomingOutHeadline says when the floor may be reached: about the day by which the chance is a half, maybe by the
// day by which it is a tenth.
func (l Finding) bottomingOutHeadline(asOf time.Time) string {
	about, as, now, floor := l.floorAbout(), l.Assessment, l.nowText(), words.Number(l.Parameter, l.Assessment.Floor)
	date := func(days float64) string { return dateIn(asOf, days) }
	act := ": " + l.fromFloor()
	switch {
	case about == 0:
		at := ", probably at your floor"
		return headline(now+at+" "+floor+" now"+act, now+at+" now"+act, now+", probably at floor"+act)
	case !math.IsInf(about, 1) && as.FloorP10 == 0:
		at := fmt.Sprintf(" floor by %s, maybe there now", date(about))
		return headline(now+", at your"+at+act, now+", at"+at+act, now+": floor by "+date(about)+act)
	case !math.IsInf(about, 1):
		day, maybe := " floor about "+date(about), ", maybe by "+date(as.FloorP10)
		if date(about) == date(as.FloorP10) {
			maybe = ""
		}
		return headline(now+", at your"+day+maybe+act, now+", at"+day+maybe+act, now+", at"+day+act)
	case as.FloorP10 == 0:
		return headline(now+", maybe at your floor "+floor+" already: retest now", now+", maybe at floor: retest now")
	case !math.IsInf(as.FloorP10, 1):
		by := fmt.Sprintf(" floor %s by %s: ", floor, date(as.FloorP10))
		return headline(now+", may reach your"+by+l.retest(asOf), now+", may reach"+by+"retest")
	default:
		return headline(now+", may be falling to your floor "+floor+": "+l.retest(asOf),
			now+", may be falling to its floor: retest")
	}
}

// dosedHeadline is said of a level that was at its floor or on its way there, and was dosed since.
func (l Finding) dosedHeadline(given float64) string {
	tested := l.Parameter.Name + " " + words.Value(l.Parameter, l.Readings[len(l.Readings)-1])
	dosed := ", " + words.Number(l.Parameter, given) + " dosed since: "
	return headline(tested+" on "+words.ShortDay(l.latestTime())+dosed+"not known, test first", tested+dosed+"test first")
}

func (l Finding) testAgainHeadline() string {
	e, value := l.Assessment.Expected, words.Value(l.Parameter, l.Readings[len(l.Readings)-1])
	return headline(
		fmt.Sprintf("%s reads %s (expected %s): test again now", l.Parameter.Name, value,
			words.Between(l.Parameter, e.Lo, e.Hi)),
		fmt.Sprintf("%s reads %s, far too low: test again now", l.Parameter.Name, value))
}

// bandHeadline is said of a level outside the band or near an edge of it. Outside, on its way back, it is left to come.
func (l Finding) bandHeadline(state BandState, edge float64, asOf time.Time) string {
	now, low := l.nowText(), state == BandBelow || state == BandNearLow
	at := words.Number(l.Parameter, edge)
	side, act, back := "above", l.towards(low), "falling"
	if low {
		side, back = "below", "rising"
	}
	if state == BandNearLow || state == BandNearHigh {
		retest := ": " + l.retest(asOf)
		if soon := l.Band.soon(l.Assessment); low && soon < edge || !low && soon > edge {
			move := map[bool]string{true: "fall", false: "rise"}[low]
			return headline(fmt.Sprintf("%s, may %s %s %s within 14 days%s", now, move, side, at, retest),
				now+", leaving your band"+retest)
		}
		return headline(fmt.Sprintf("%s, close to your edge %s%s", now, at, retest), now+", near your edge"+retest)
	}
	band := l.BandText()
	if math.IsNaN(l.Band.Low) || math.IsNaN(l.Band.High) {
		band = at
	}
	if last := l.Assessment.Latest; last.Bound == trend.Exact && low == (last.Value >= edge) {
		// the level lies outside, the last reading does not
		now = l.levelNow()
	}
	out := fmt.Sprintf("%s, %s your band %s", now, side, band)
	if l.Heading().String() == back {
		return headline(out+" but "+back+": "+l.retest(asOf), out+", "+back)
	}
	return headline(out+": "+act, now+", "+side+" band: "+act, now+", "+side+" band")
}

// unmetHeadline is said of a level that is dosed by less than is taken. That it falls, and when it reaches the edge, is
// what the forecast says; where no direction is clear the next test tells it.
func (l Finding) unmetHeadline(asOf time.Time) string {
	as, now := l.Assessment, l.nowText()
	if l.Heading() != trend.Falling {
		may := now + ", may be falling despite dosing"
		return headline(may+": "+l.retest(asOf), may)
	}
	text := fmt.Sprintf("%s falls %s a week despite dosing: ", now, words.Number(l.Parameter, -as.SlopePerWeek))
	when := " today"
	day, level, edge := 0.0, as.Level, l.Band.Low
	for _, f := range as.Forecast {
		if level > edge && f.Mean <= edge {
			text = fmt.Sprintf("%s, at edge %s about %s despite dosing: ", now, words.Number(l.Parameter, edge),
				dateIn(asOf, day+(f.Days-day)*(level-edge)/(level-f.Mean)))
			when = "" // the date says it
		}
		day, level = f.Days, f.Mean
	}
	return headline(text+"check doser, dose more"+when, text+"dose more"+when, text+"see why")
}

// beyondHeadline is said of a probe that shows more than the level of the last days does.
func (l Finding) beyondHeadline(state BandState, edge, shown float64) string {
	side, act := "above", l.towards(state == BandNearLow)
	if state == BandNearLow {
		side = "below"
	}
	now := l.Parameter.Name + " " + words.Number(l.Parameter, shown)
	return headline(fmt.Sprintf("%s for two hours, %s your edge %s: %s", now, side, words.Number(l.Parameter, edge), act),
		now+", "+side+" your edge: "+act)
}

func (l Finding) suspectHeadline() string {
	e, value := l.Assessment.Expected, words.Value(l.Parameter, l.Readings[len(l.Readings)-1])
	return headline(
		fmt.Sprintf("%s %s does not fit (expected %s): retest now, before dosing", l.Parameter.Name, value,
			words.Between(l.Parameter, e.Lo, e.Hi)),
		fmt.Sprintf("%s %s does not fit: retest now, before dosing", l.Parameter.Name, value),
		fmt.Sprintf("%s %s does not fit: retest now", l.Parameter.Name, value))
}

func (l Finding) swingHeadline(before, after float64, between string) string {
	moved := fmt.Sprintf("%s from %s to %s %s: ", l.Parameter.Name, words.Number(l.Parameter, before),
		words.Number(l.Parameter, after), between)
	return headline(moved+"retest today, then find out why", moved+"retest today")
}

func (l Finding) overdueHeadline(late float64) string {
	act := ": test today"
	if l.probe.writes {
		act = ": check the probe"
	}
	return headline(fmt.Sprintf("%s test %s overdue (last %s)", l.Parameter.Name, words.Days(late),
		words.ShortDay(l.latestTime()))+act, l.Parameter.Name+" test overdue"+act)
}

func (l Finding) driftHeadline(settled, now float64, since time.Time) string {
	text := fmt.Sprintf("%s drifted from %s to %s since %s: ", l.Parameter.Name, words.Number(l.Parameter, settled),
		words.Number(l.Parameter, now), words.ShortDay(since))
	return headline(text+"check dosing and kit now", text+"check now")
}

// headline is what to know of a stock that ends: the end, or the day of its expiry.
func (s Stock) headline(expires bool, asOf time.Time) string {
	name, again := words.OneLine(s.Name), "refill it"
	if s.Parameter != "" {
		again = "buy another"
	}
	switch day := words.Day(s.Expires.AddDate(0, 0, -1)); {
	case expires && s.Expires.After(asOf):
		return headline(name+" expires "+day+": replace it", name+" expires: replace it")
	case expires:
		return headline(name+" expired "+day+": replace it now", name+" expired: replace it now")
	case s.Empty():
		return headline(name+" is used up: "+again+" today", name+" is used up")
	}
	left := name + ": " + s.amount(s.Left) + " left"
	if math.IsInf(s.Out.P50, 1) || math.IsNaN(s.Out.P50) {
		return headline(left+": "+again+" this week", left)
	}
	about, maybe := ", gone about "+dateIn(asOf, s.Out.P50), ", maybe by "+dateIn(asOf, s.Out.early())
	if dateIn(asOf, s.Out.P50) == dateIn(asOf, s.Out.early()) {
		maybe = ""
	}
	return headline(left+about+maybe+": "+again, left+about+": "+again, left)
}

func (c Chore) headline(asOf time.Time) string {
	late := fmt.Sprintf("%s %s late", words.OneLine(c.Name), words.Days(Day(asOf)-Day(c.Due)))
	return headline(fmt.Sprintf("%s (last done %s): do it today, then note it", late, words.ShortDay(c.Last)),
		late+": do it today, then note it", late+": do it today", late)
}

// overdueTogether is the headline of several tests of a tank that are overdue, the longest first.
func overdueTogether(late []Alert) string {
	text := fmt.Sprintf("%d tests overdue since %s", len(late), words.ShortDay(late[0].Since))
	names := words.List(late, func(a Alert) string { return a.Parameter })
	return headline(text+", test today: "+names, text+": test today")
}
