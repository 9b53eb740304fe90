package trend

import (
	"math"
	"slices"
)

// engine follows one series from reading to reading: the belief, the inputs still to come, and the flags that have a
// memory. Assess, Hindcast, Judge and WhatIf are four ways of asking it.
type engine struct {
	set     Settings
	in      []Input // in time order
	next    int     // the first input not yet taken
	belief  *belief // nil before the first reading
	latest  Observation
	n       int           // readings used
	numbers int           // of them, with a number rather than < or >
	recent  []Observation // the last, as many as the ruler asks for two tests ago

	flags    flags // as they stand after the latest reading
	settled  flags // as they stood at the end of the day before it
	expected Prediction
	surprise float64
	lowSide  bool // the latest reading was low rather than high
}

// newEngine prepares to follow a series: settings and first reading choose model and scale.
func newEngine(obs []Observation, in []Input, set Settings) *engine {
	validate(obs)
	e := &engine{set: set, in: ordered(in), flags: noFlags(), settled: noFlags()}
	nan := math.NaN()
	e.expected, e.surprise = Prediction{nan, nan, nan}, nan
	if len(obs) > 0 {
		m := modelFor(set)
		first := byMoment(obs[:momentEnd(obs, 0)])[0]
		e.belief = newBelief(m, newScale(set, first), m.members(first))
	}
	return e
}

// clone is an engine that can be moved on without touching e.
func (e *engine) clone() *engine {
	c := *e
	c.belief, c.recent = e.belief.clone(), slices.Clip(e.recent)
	return &c
}

// advance moves the belief to a day, taking the inputs on the way. Before the first reading there is no belief to move;
// inputs then only set the supply and the habits to start from.
func (e *engine) advance(day float64) {
	f := e.belief
	for e.next < len(e.in) && e.in[e.next].Day <= day {
		in := e.in[e.next]
		e.next++
		if f.started {
			f.predict(in.Day - f.day)
			f.take(in)
			f.adopt(habitAt(e.in[:e.next], in.Day, f.anchor))
		} else if in.Kind == Dosing {
			f.supply = in.Amount
		}
	}
	if f.started {
		f.predict(day - f.day)
	}
	f.adopt(habitAt(e.in[:e.next], day, f.anchor))
}

// read takes a reading. foretell says whether to work out what was expected of it.
func (e *engine) read(o Observation, foretell bool) {
	if e.n == 0 || o.Day > e.latest.Day {
		e.settled = e.flags
	}
	e.learn(o, foretell)
	if e.belief.floored {
		e.flags = e.settled.decide(e.verdict(e.belief.chances(alarmHorizon, nil), o.Day))
	}
}

// learn is read without the flags, on which no belief rests.
func (e *engine) learn(o Observation, foretell bool) {
	e.advance(o.Day)
	if foretell {
		e.foretell(o)
	}
	e.belief.update(o)
	e.belief.marks = e.belief.marks.with(o)
	e.latest = o
	e.n++
	if o.Bound == Exact {
		e.numbers++
	}
	e.recent = append(e.recent[max(len(e.recent)-rulerReadings-1, 0):], o)
}

// foretell notes what the readings so far say of one about to come.
func (e *engine) foretell(o Observation) {
	if e.n == 0 {
		return
	}
	p := e.belief.readingSpread(o)
	e.expected = Prediction{p.mean(), max(p.quantile(0.025), 0), max(p.quantile(0.975), 0)}
	e.surprise, e.lowSide = p.tail()
}

// pressed says whether the ruler has warned at two tests in a row, this one being the second of them or the one
// after. Where something was put in that is no habit, the ruler measures that, and is not asked.
func (e *engine) pressed() bool {
	warned := func(left int) bool {
		obs := e.recent[:len(e.recent)-left]
		return e.undisturbed(obs) && RulerOf(obs, e.set.Floor).Warns()
	}
	if len(e.recent) < rulerFewest+2 || !warned(1) {
		return false
	}
	return warned(0) || warned(2)
}

// undisturbed says whether nothing but habits was put in while the ruler's readings were taken.
func (e *engine) undisturbed(obs []Observation) bool {
	from, to := obs[max(len(obs)-rulerReadings, 0)].Day, obs[len(obs)-1].Day
	for i := e.next - 1; i >= 0 && e.in[i].Day >= from; i-- {
		if e.in[i].Day <= to && (e.in[i].Kind == Dosing || !e.belief.habit.regular()) {
			return false
		}
	}
	return true
}

// Judgement is how one reading compares with what the earlier ones predict for it.
type Judgement struct {
	Expected Prediction
	Tail     float64 // two-sided chance of a reading as far out as this one; NaN when it cannot be said
	Suspect  bool    // so far out that it should be looked at twice
}

// suspectTail is the two-sided chance under which a reading is suspect. Gross errors are about fifteen in a thousand of
// all readings; at this chance one in two hundred sound ones is asked about in vain. A reading that is off by a factor
// of nearly ten looks like a slipped decimal point, and is asked about at a chance of slipTail.
const (
	suspectTail = 0.005
	slipTail    = 0.1
	slipFactor  = 8
)

// suspect says whether a reading is so far out that it should be looked at twice.
func suspect(o Observation, p Prediction, tail float64) bool {
	slip := o.Bound == Exact && p.Mean > 0 && (o.Value >= slipFactor*p.Mean || o.Value <= p.Mean/slipFactor)
	return tail < suspectTail || slip && tail < slipTail
}

// Judge compares a reading about to be entered with what the earlier ones predict. obs and in are those before it; next
// must not be earlier than the last of obs. Without an earlier reading everything is unknown.
func Judge(obs []Observation, in []Input, next Observation, set Settings) Judgement {
	all := append(append([]Observation(nil), obs...), next)
	e := newEngine(all, in, set)
	for _, o := range obs {
		e.learn(o, false)
	}
	e.advance(next.Day)
	e.foretell(next)
	return Judgement{Expected: e.expected, Tail: e.surprise, Suspect: suspect(next, e.expected, e.surprise)}
}

// readingSpread is the distribution of what a method will see of the level: a Gaussian about every cell. Of a reading
// that is there already, the ends of its interval stand beside each, since they may depend on the kind of kit.
type readingSpread struct {
	mixture
	lo, hi []float64
}

// readingSpread is what a method like that of o will see now.
func (f *belief) readingSpread(o Observation) readingSpread {
	var r readingSpread
	for b := 0; b < len(f.members); {
		end := b + 1
		for end < len(f.members) && f.members[end].sameMethod(f.members[b].member) {
			end++
		}
		saw := f.marks.takes(o, f.members[b].member)
		s := f.levelSpread(f.members[b:end])
		for i, p := range s.p {
			if p > 1e-7 {
				level := s.level(float64(s.lo + i))
				r.mixture = append(r.mixture, normal{p, level, saw.sdAt(level)})
				r.lo, r.hi = append(r.lo, saw.lo), append(r.hi, saw.hi)
			}
		}
		b = end
	}
	return r
}

// tail is the two-sided chance of a report as far out as the one at hand, and whether that is on the low side. A report
// counts as being as far out as the nearer end of its interval, so that a coarse step or a "<" is not called surprising
// for being coarse.
func (r readingSpread) tail() (chance float64, low bool) {
	down, up := 0.0, 0.0
	for i, c := range r.mixture {
		down += c.weight * quickCDF((r.hi[i]-c.mean)/c.sd)
		up += c.weight * quickCDF((c.mean-r.lo[i])/c.sd)
	}
	return min(1, 2*max(min(down, up)/r.total(), 0)), down < up
}
