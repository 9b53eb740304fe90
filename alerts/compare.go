package alerts

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
)

// Changed is a tank on both sides of a moment: what moved in the water, and what was seen and done around it.
type Changed struct {
	Tank       logbook.Tank
	Around     time.Time
	Days       float64 // looked at on each side
	Parameters []ParameterChange
	Breaks     []Break         // of the parameters whose level left what it had been, the largest share first
	Done       []logbook.Entry // everything but readings and acknowledgements, in time order
	Known      words.Known     // by which Done is put into words
}

// ParameterChange is one parameter on both sides of a moment.
type ParameterChange struct {
	Parameter logbook.Parameter
	// median reading of the earlierSides before Before, canonical unit; NaN without readings
	Earlier       float64
	Before, After float64          // likewise of each side
	Comparison    trend.Comparison // shift from before to after with its 80 % interval
	Move          trend.Move       // of the level, in all this time
	Thinned       bool             // the log is dense: one reading a day is compared
}

// earlierSides is how many times as far back as a side a break is looked for: what shows after a date has often begun
// before.
const earlierSides = 3

// compareLevel is the confidence of a shift's interval, as of every interval on the screens.
const compareLevel = 0.8

// DoneKinds are the kinds of entries that were seen or done, as against tested or answered.
func DoneKinds() []logbook.Kind {
	return slices.DeleteFunc(logbook.EntryKinds(), func(k logbook.Kind) bool {
		return k == logbook.KindReading || k == logbook.KindAcknowledgement
	})
}

// Entries reads those of some kinds in a stretch of time, in time order.
func Entries(v *logbook.View, tank string, kinds []logbook.Kind, from, to time.Time) (all []logbook.Entry, err error) {
	for _, kind := range kinds {
		es, err := v.Entries(tank, kind, from, to)
		if err != nil {
			return nil, err
		}
		all = append(all, es...)
	}
	slices.SortStableFunc(all, func(a, b logbook.Entry) int { return a.When().Compare(b.When()) })
	return all, nil
}

// WhatChanged compares the readings of every parameter in so many days before a moment with those in as many days from
// it on, looks for breaks of the level in that time and in the time before, and collects what was done in it.
func WhatChanged(v *logbook.View, tank string, around time.Time, days float64) (Changed, error) {
	t, err := v.Tank(tank)
	if err != nil {
		return Changed{}, err
	}
	side := time.Duration(days * dayNanos)
	earliest, from, to := around.Add(-(1+earlierSides)*side), around.Add(-side), around.Add(side)
	ps, err1 := ParametersOf(v, t)
	known, err2 := words.Know(v, t.Name)
	done, err3 := Entries(v, t.Name, DoneKinds(), earliest, to)
	if err := cmp.Or(err1, err2, err3); err != nil {
		return Changed{}, err
	}
	first := 0
	for first < len(done) && done[first].When().Before(from) {
		first++
	}
	out := Changed{Tank: t, Around: around, Days: days, Known: known, Done: done[first:]}
	for _, p := range ps {
		s, err := seriesBetween(v, t, p, earliest, to)
		if err != nil {
			return Changed{}, err
		}
		if len(s.Readings) == 0 {
			continue
		}
		before := func(at time.Time) int { // how many readings are
			return sort.Search(len(s.Readings), func(i int) bool { return !s.Readings[i].Time.Before(at) })
		}
		i, k, obs := before(from), before(around), s.observations
		b, found := breakOf(p, obs, done, t.Zone())
		if found {
			out.Breaks = append(out.Breaks, b)
		}
		if i == len(obs) {
			continue
		}
		out.Parameters = append(out.Parameters, ParameterChange{
			Parameter:  p,
			Earlier:    trend.Median(Values(s.Readings[:i])),
			Before:     trend.Median(Values(s.Readings[i:k])),
			After:      trend.Median(Values(s.Readings[k:])),
			Comparison: trend.Compare(obs[i:k], obs[k:], compareLevel),
			Move:       b.Move,
			Thinned:    s.Thinned,
		})
	}
	slices.SortStableFunc(out.Breaks, func(a, b Break) int { return -cmp.Compare(a.share(), b.share()) })
	return out, nil
}

// Values are the values of readings, limits at their limit.
func Values(rs []logbook.Reading) []float64 {
	return words.Of(rs, func(r logbook.Reading) float64 { return r.Value })
}

// ShiftText is the change in words: "+0.4 mg/L (80 % +0.1 to +0.7)", or what it would take to tell.
func (p ParameterChange) ShiftText() string {
	k := p.Comparison
	if math.IsNaN(k.Shift) {
		for _, n := range k.Notes {
			return n.Text
		}
		return "the readings cannot tell"
	}
	if math.IsInf(k.Interval.Lo, 0) || math.IsInf(k.Interval.Hi, 0) {
		return words.WithUnit(p.signed(k.Shift), words.Unit(p.Parameter)) + ", too few readings for a range"
	}
	holds := k.Interval.Attained
	if math.IsNaN(holds) { // the interval is the normal one, which holds about what was asked for
		holds = k.Interval.Level
	}
	text := fmt.Sprintf("%s (%.0f %% %s to %s)", words.WithUnit(p.signed(k.Shift), words.Unit(p.Parameter)), 100*holds,
		p.signed(k.Interval.Lo), p.signed(k.Interval.Hi))
	switch {
	case k.Few:
		text += fmt.Sprintf(", too few readings to tell: %d and %d", k.NBefore, k.NAfter)
	case k.Interval.Lo <= 0 && k.Interval.Hi >= 0:
		text += ", no change told"
	}
	return text
}

func (p ParameterChange) signed(shift float64) string {
	return words.SignedChange(p.Parameter, shift, 0)
}

// ShiftShort is the shift without its unit, and its range where that is wanted.
func (p ParameterChange) ShiftShort(whole bool) string {
	k := p.Comparison
	switch {
	case math.IsNaN(k.Shift):
		return "—"
	case !whole:
		return p.signed(k.Shift)
	case math.IsInf(k.Interval.Lo, 0) || math.IsInf(k.Interval.Hi, 0):
		return p.signed(k.Shift) + " (too few to say)"
	}
	return fmt.Sprintf("%s (%s to %s)", p.signed(k.Shift), p.signed(k.Interval.Lo), p.signed(k.Interval.Hi))
}

// Break is where the level of a parameter left what it had been, in the readings of some time.
type Break struct {
	Parameter     logbook.Parameter
	Move          trend.Move      // by which it was found
	Before, After float64         // medians of the readings before the move, and of the last three
	Until         time.Time       // the last reading like those before
	From          time.Time       // the first like those after
	Steady        bool            // it moved all the time: Until and From are the first and the last readings
	Done          []logbook.Entry // what was done from causeDays before Until to From and may be why, the latest first
}

const (
	breakWobbles = driftWobbles
	causeDays    = 21 // how long before a level leaves, what was done may be why (common practice, no source)
	routineTimes = 4  // so often in the time looked at, something is a habit
	mostCauses   = 2  // entries named
	bendBIC      = 6  // strong evidence (Kass & Raftery 1995, from memory)
	likeScales   = 2  // scales from the median within which a reading is like the others; a scale is 1.4826 MAD
)

// breakOf looks for a break among readings: a move of the level or, where that was gradual, the day from which a steady
// level began to move. A course that moves all the time is told without a day, and without what may be why. ok is false
// where none can be told, and of one within breakWobbles of the parameter's ordinary wandering. done is what was done
// in that time, in time order.
func breakOf(p logbook.Parameter, obs []trend.Observation, done []logbook.Entry, zone *time.Location) (b Break,
	ok bool) {
	m := trend.FindMove(obs)
	b = Break{Parameter: p, Move: m}
	if !m.Found && !m.Gradual {
		return b, false
	}
	values := words.Of(obs, func(o trend.Observation) float64 { return o.Value })
	until, from := m.After-1, m.After
	if m.Gradual {
		if until, b.Steady = bend(obs); b.Steady {
			until = 0
		}
		from = until + 1
	}
	before, spread := middleAndScale(values[:until+1])
	after, spreadAfter := middleAndScale(values[max(from, len(values)-3):])
	moved := after - before
	if moved == 0 || math.Abs(moved) <= breakWobbles*p.Wobble*math.Abs(before) {
		return b, false
	}
	gone := func(i int, from, spread float64, towards float64) bool { // from what the others are, towards a side
		return (values[i]-from)*towards > 0 && math.Abs(values[i]-from) > likeScales*math.Max(spread, obs[i].SD)
	}
	for !m.Gradual && until > 0 && gone(until, before, spread, moved) {
		until--
	}
	for from < len(obs)-1 && gone(from, after, spreadAfter, -moved) {
		from++
	}
	b.Before, b.After, b.Until, b.From = before, after, TimeOf(obs[until].Day, zone), TimeOf(obs[from].Day, zone)
	if !b.Steady {
		b.Done = b.causes(done)
	}
	return b, true
}

// bend is the last reading of a steady level before a straight course of the values, by least squares over all places
// with three readings before it and two after; steady is true where no such bend describes the readings clearly better
// than one straight course (by more than bendBIC). Reference: Hinkley D.V. (1969) Inference about the intersection in
// two-phase regression. Biometrika 56, 495-504 (from memory).
func bend(obs []trend.Observation) (last int, steady bool) {
	n := len(obs)
	ramp, values := make([]float64, n), words.Of(obs, func(o trend.Observation) float64 { return o.Value })
	fit := func(from float64) float64 {
		// BIC of a level until a day and a straight course from it on, its constant left out
		for i, o := range obs {
			ramp[i] = math.Max(0, o.Day-from)
		}
		return float64(n) * math.Log(math.Max(trend.FitLine(ramp, values).RSS, math.SmallestNonzeroFloat64))
	}
	straight, best := fit(obs[0].Day), math.Inf(1)
	for k := 2; k < n-2; k++ {
		if bic := fit(obs[k].Day) + math.Log(float64(n)); bic < best {
			last, best = k, bic
		}
	}
	return last, !(best < straight-bendBIC)
}

// causes are what was done from causeDays before the level left to where it arrived, the latest first: what is done
// again and again only where there is nothing else.
func (b Break) causes(done []logbook.Entry) []logbook.Entry {
	times := map[string]int{}
	for _, e := range done {
		times[habit(e)]++
	}
	var rare, routine []logbook.Entry
	for _, e := range slices.Backward(done) {
		of, at := words.Subject(e), e.When()
		switch {
		case of != "" && of != b.Parameter.Name || !at.After(b.Until.AddDate(0, 0, -causeDays)) || !at.Before(b.From):
		case habit(e) != "" && times[habit(e)] >= routineTimes:
			routine = append(routine, e)
		default:
			rare = append(rare, e)
		}
	}
	if len(rare) == 0 {
		rare = routine
	}
	return rare[:min(len(rare), mostCauses)]
}

// habit is what entries of one routine share; "" of an event, which is none.
func habit(e logbook.Entry) string {
	switch e := e.(type) {
	case logbook.ChoreDone:
		return "chore " + e.Chore
	case logbook.Refill:
		return "refill " + e.Stock
	case logbook.Dose:
		return "dose " + e.Parameter + e.Supplement
	case logbook.Dosing:
		return "dosing " + e.Parameter + e.Supplement
	case logbook.Event:
		return ""
	}
	return string(e.Kind())
}

// middleAndScale are the median of values and 1.4826 times their median absolute deviation from it.
func middleAndScale(vs []float64) (middle, scale float64) {
	middle = trend.Median(vs)
	return middle, 1.4826 * trend.Median(words.Of(vs, func(v float64) float64 { return math.Abs(v - middle) }))
}

// share is how far the level moved, as a part of where it had been.
func (b Break) share() float64 { return math.Abs((b.After - b.Before) / b.Before) }

// Text says the break and what was done about then: "phosphate fell by 80 %: 0.050 until 26 Oct, 0.010 from 9 Nov;
// about then: phosphate media, new brand (30 Oct)".
func (b Break) Text(k words.Known) string {
	p, moved := b.Parameter, b.After-b.Before
	word := map[bool]string{true: "fell", false: "rose"}[moved < 0]
	by := words.Rise(p, math.Abs(moved))
	if share := b.share(); p.Doseable() == nil && share >= 0.1 && share < 1 {
		by = words.Share(math.Round(100*share) / 100)
	}
	day := func(t time.Time) string { return words.ShortDay(t) }
	from, to := words.Number(p, b.Before), words.Number(p, b.After)
	if b.Steady {
		return fmt.Sprintf("%s %s steadily by %s: %s on %s, %s of late", p.Name, word, by, from, day(b.Until), to)
	}
	arrived := "from " + day(b.From)
	if b.Move.Gradual {
		arrived = "of late"
	}
	text := fmt.Sprintf("%s %s by %s: %s until %s, %s %s", p.Name, word, by, from, day(b.Until), to, arrived)
	var done []string
	for _, e := range b.Done {
		what, note := k.Short(e)
		done = append(done, strings.TrimSpace(words.Subject(e)+" "+what)+words.With(", ", note)+" ("+
			day(e.When().In(b.Until.Location()))+")")
	}
	if len(done) == 0 {
		return text
	}
	return text + "; about then: " + strings.Join(done, ", ")
}

// breakDays is how far back the break behind an alert is looked for.
const breakDays = 112

// Causes says, by tank and parameter, of every alert about a level when that left what it had been, if it moved the way
// the alert tells, and what was done about then.
func Causes(v *logbook.View, reports []Report) (map[string]map[string]string, error) {
	all := map[string]map[string]string{}
	for _, r := range reports {
		since, causes := r.AsOf.AddDate(0, 0, -breakDays), map[string]string{}
		known, err := words.Know(v, r.Tank.Name)
		done, err2 := Entries(v, r.Tank.Name, DoneKinds(), since, r.AsOf)
		if err := cmp.Or(err, err2); err != nil {
			return nil, err
		}
		for _, l := range r.Findings {
			a, ok := l.Gravest()
			low, level := levelRules[a.Rule]
			if !ok || !level {
				continue
			}
			from, _ := slices.BinarySearchFunc(l.observations, Day(since),
				func(o trend.Observation, day float64) int { return cmp.Compare(o.Day, day) })
			b, found := breakOf(l.Parameter, l.observations[from:], done, r.AsOf.Location())
			if found && low == (b.After < b.Before) {
				causes[l.Parameter.Name] = b.Text(known)
			}
		}
		all[r.Tank.Name] = causes
	}
	return all, nil
}

// levelRules are the rules about where a level is, and whether it is low.
var levelRules = map[Rule]bool{
	RuleBottomedOut: true, RuleBottomingOut: true, RuleBelowBand: true, RuleNearLow: true, RuleUnmet: true,
	RuleAboveBand: false, RuleNearHigh: false,
}
