package trend

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// Assess says all that the readings and inputs up to a moment tell.
//
// obs are in time order (equal days are allowed) and in one unit; those after asOf are not looked at, nor are inputs
// after it. It panics on readings out of order, on a standard deviation that is not positive, and on an interval
// whose ends are the wrong way round.
func Assess(obs []Observation, in []Input, asOf float64, set Settings) Assessment {
	return assess(obs, in, asOf, nil, set)
}

// WhatIf is Assess with a future: extra are inputs that are yet to come, or to be imagined from as-of on, such as
// another dosing or a water change. They change the forecast, the chances and the floor dates, not what is believed
// of the present, and not the flags. An extra input before as-of counts at as-of.
func WhatIf(obs []Observation, in []Input, asOf float64, extra []Input, set Settings) Assessment {
	return assess(obs, in, asOf, ordered(extra), set)
}

func assess(obs []Observation, in []Input, asOf float64, extra []Input, set Settings) Assessment {
	n := 0
	for n < len(obs) && obs[n].Day <= asOf {
		n++
	}
	e := newEngine(obs[:n], in, set)
	var moments []*engine
	for i, o := range byMoment(obs[:n]) {
		e.learn(o, i == n-1)
		if e.belief.floored && (i == n-1 || obs[i+1].Day > o.Day) {
			moments = append(moments, e.clone())
		}
	}
	e.flags = flagsAfter(moments)
	return e.say(obs[:n], asOf, extra)
}

// Hindcast is Assess as-of each reading, using the readings up to and including it: what would have been said then. It
// follows the series once.
func Hindcast(obs []Observation, in []Input, set Settings) []Assessment {
	e := newEngine(obs, in, set)
	out := make([]Assessment, len(obs))
	for from := 0; from < len(obs); {
		to := momentEnd(obs, from)
		before := e
		for i := from; i < to; i++ {
			if to > from+1 { // each sees those before it anew, in the order in which Assess takes them
				e = before.clone()
			}
			for _, o := range byMoment(obs[from : i+1]) {
				e.read(o, true)
			}
			out[i] = e.say(obs[:i+1], obs[i].Day, nil)
		}
		from = to
	}
	return out
}

// momentEnd is the end of the run of readings from one on that were taken at the same moment.
func momentEnd(obs []Observation, from int) int {
	to := from + 1
	for to < len(obs) && obs[to].Day == obs[from].Day {
		to++
	}
	return to
}

// byMoment is obs with the readings of each moment in order of value, since the order in which they were written down
// tells nothing. Where there is at most one of each moment it is obs itself.
func byMoment(obs []Observation) []Observation {
	order := func(a, b Observation) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Value, b.Value), cmp.Compare(a.Lo, b.Lo),
			cmp.Compare(a.Hi, b.Hi), cmp.Compare(a.SD, b.SD), cmp.Compare(a.Bound, b.Bound),
			cmp.Compare(strconv.FormatBool(a.Described), strconv.FormatBool(b.Described)))
	}
	if slices.IsSortedFunc(obs, order) {
		return obs
	}
	return slices.SortedFunc(slices.Values(obs), order)
}

// ordered is a copy in time order; inputs of one moment keep their order.
func ordered(in []Input) []Input {
	out := slices.Clone(in)
	slices.SortStableFunc(out, func(a, b Input) int { return cmp.Compare(a.Day, b.Day) })
	return out
}

// unknown is an assessment that says nothing yet.
func unknown(asOf float64, set Settings) Assessment {
	nan := math.NaN()
	return Assessment{
		AsOf: asOf, Floor: set.Floor,
		Level: nan, LevelLo: nan, LevelHi: nan,
		SlopePerWeek: nan, SlopeLo: nan, SlopeHi: nan,
		PFloor14: nan, PFloor28: nan, PFloor42: nan,
		FloorP10: nan, FloorP50: nan, FloorP90: nan, FallsPerYear: nan,
		BottomingOutSince: nan, BottomedOutSince: nan,
		NextTest: nan, Surprise: nan,
		Expected: Prediction{nan, nan, nan},
	}
}

// say puts into words what is believed, moved on to asOf. It leaves the engine as it is.
func (e *engine) say(obs []Observation, asOf float64, extra []Input) Assessment {
	a := unknown(asOf, e.set)
	a.Rolling = e.rolling(obs, asOf)
	a.N = e.n
	a.Supply = supplyAt(e.in, asOf)
	if e.n == 0 {
		a.note("too-few", "no reading yet")
		return a
	}
	a.Latest = e.latest
	a.Surprise, a.Expected = e.surprise, e.expected
	now, belief := *e, *e.belief
	now.belief, belief.doubt = &belief, doseDoubt
	if asOf > e.belief.day || e.next < len(e.in) && e.in[e.next].Day <= asOf {
		now.belief = belief.clone()
		now.advance(asOf)
	}
	now.sayLevel(&a)
	now.sayFuture(&a, extra)
	now.sayNotes(&a)
	return a
}

func (e *engine) rolling(obs []Observation, asOf float64) Rolling {
	window := e.set.Window
	if window == 0 {
		window = DefaultWindow
	}
	if e.set.InWindow != nil {
		obs = e.set.InWindow
	}
	return RollingView(obs, asOf, window)
}

// sayLevel fills in level, slope and direction. By "falling 0.4 a week" a reader understands how fast it falls if it
// does, not that times the chance that it does. What is held, without a floor, is nearly always a little on its way,
// and its slope is that of all courses.
func (e *engine) sayLevel(a *Assessment) {
	q := e.belief.levelSpread(e.belief.members).quantiles(lowQuantile, 0.5, highQuantile)
	a.LevelLo, a.Level, a.LevelHi = q[0], q[1], q[2]
	s := e.belief.slopes()
	a.Direction = e.direction(s, a.Level)
	likely, told := s, s
	if e.belief.floored {
		likely, told = s.heading(cmp.Or(a.Direction, s.likelier())), s.heading(a.Direction)
	}
	a.SlopePerWeek, a.SlopeLo, a.SlopeHi = 7*likely.mean(), 7*told.quantile(lowQuantile), 7*told.quantile(highQuantile)
	a.Regular = e.belief.habit.perDay(a.Level/e.belief.anchor) * e.belief.anchor
	if e.numbers == 0 {
		nan := math.NaN()
		a.SlopePerWeek, a.SlopeLo, a.SlopeHi = nan, nan, nan
	}
}

// sayFuture fills in forecast, floor and next test.
func (e *engine) sayFuture(a *Assessment, extra []Input) {
	a.Forecast = e.belief.forecast(extra)
	var c floorChances
	if e.belief.floored {
		c = e.belief.chances(allHorizons[:], extra)
	}
	a.NextTest = e.nextTest(c, a)
	if !e.belief.floored {
		return
	}
	a.PFloor14, a.PFloor28, a.PFloor42 = c.within(14), c.within(28), c.within(alarmDays)
	a.FloorP10, a.FloorP50, a.FloorP90 = c.reached(0.1), c.reached(0.5), c.reached(0.9)
	a.FallsPerYear = e.belief.fallsPerYear()
	if len(extra) == 0 {
		e.sayRuler(a)
	}
	f := e.flags
	if a.AsOf > e.latest.Day {
		f = f.decide(e.verdict(c, a.AsOf))
	}
	a.BottomingOut, a.BottomingOutSince = f.bottomingOut.up, f.bottomingOut.since
	a.BottomedOut, a.BottomedOutSince = f.bottomedOut.up, f.bottomedOut.since
	a.TestAgain = e.testAgain(a.PFloor14, f)
}

// sayRuler lets a line through the last readings have its say where it and the model are at odds: of two dates of the
// floor the earlier is told.
func (e *engine) sayRuler(a *Assessment) {
	if len(e.recent) < rulerFewest || !e.undisturbed(e.recent) {
		return
	}
	r := RulerOf(e.recent, e.set.Floor)
	if !(r.Hi < e.belief.slopes().quantile(0.025)) {
		return
	}
	a.note("at-odds", fmt.Sprintf("a line through the last %d readings falls faster than the model believes; "+
		"of their two dates for the floor the earlier is told", r.N))
	reaches := max(r.Days-(a.AsOf-e.latest.Day), 0)
	if reaches <= Horizon {
		a.FloorP50 = min(a.FloorP50, reaches)
		a.FloorP10 = min(a.FloorP10, a.FloorP50)
		a.FloorP90 = max(a.FloorP90, a.FloorP50)
	}
}

// sayNotes adds what a reader must know to weigh the numbers.
func (e *engine) sayNotes(a *Assessment) {
	if e.numbers == 0 {
		a.note("all-censored", "no reading shows a number yet: the course is unknown")
	}
	if e.n < fewestReadings {
		a.note("too-few", fmt.Sprintf("needs %d readings to tell a direction, has %d", fewestReadings, e.n))
	}
	e.sayCourse(a)
	if suspect(a.Latest, a.Expected, a.Surprise) {
		a.note("suspect", "the latest reading does not fit the earlier ones, and counts for little until another confirms it")
	}
	if factor := e.belief.average(func(m *memberBelief) float64 { return m.spread }); e.latest.Described &&
		factor >= tellingScatter {
		a.note("scatter", fmt.Sprintf("the readings scatter about %.1f times as much as the method's description says",
			factor))
	}
	if !e.latest.Described {
		text := "the method is not described: its scatter is a guess"
		if kit := e.belief.likelyKit(e.latest.Kits); kit != "" {
			text = "the method is not described: by the numbers it shows it is taken for " + kit
		}
		a.note("undescribed", text)
	}
}

// tellingScatter is the factor from which on a method is said to scatter more than it was described.
const tellingScatter = 1.5

// mostTests is the number of further tests up to which it is said how many it takes.
const mostTests = 20

// movedP is the chance, by the Mann–Kendall test, from which on the readings of the window are said to have fallen or
// risen.
const movedP = 0.05

// sayCourse adds what the direction, which is that of the moment, does not tell of the course so far.
func (e *engine) sayCourse(a *Assessment) {
	if e.n < fewestReadings || e.numbers == 0 {
		return
	}
	was, had := Unknown, "did not tell"
	if r := a.Rolling; r.P < movedP && r.Lo*r.Hi > 0 {
		was, had = Rising, "rose"
		if r.SlopePerWeek < 0 {
			was, had = Falling, "fell"
		}
	}
	over := fmt.Sprintf("it %s over the last %g days", had, a.Rolling.WindowDays)
	switch {
	case a.Direction == Unknown && was == Unknown:
		text := "the readings so far do not tell whether the level holds or moves"
		switch more := e.moreTests(a.Level); {
		case more == 1:
			text += "; about one more test will"
		case more <= mostTests:
			text += fmt.Sprintf("; about %g more tests will", more)
		}
		a.note("unclear", text)
	case a.Direction == Unknown:
		a.note("unclear", over+"; whether it still does, the latest readings do not tell")
	case was == Unknown || was == a.Direction:
	case a.Direction == Steady:
		a.note("levelled", over+" and seems to hold now")
	default:
		a.note("turned", over+" and has turned")
	}
}

func (a *Assessment) note(code, text string) { a.Notes = append(a.Notes, Note{Code: code, Text: text}) }
