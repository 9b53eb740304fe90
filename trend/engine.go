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
	belief  *filter // nil before the first reading
	danger  *dangers
	latest  Observation
	n       int // readings used
	numbers int // of them, with a number rather than < or >

	flags    flags // as they stand after the latest reading
	settled  flags // as they stood at the end of the day before it
	expected Prediction
	surprise float64
	lowSide  bool // the latest reading was low rather than high
}

// newEngine prepares to follow a series. extra are inputs that may be asked about later (WhatIf): the model must have the
// courses that they lead to.
func newEngine(obs []Observation, in, extra []Input, set Settings) *engine {
	validate(obs)
	e := &engine{set: set, in: ordered(in)}
	e.flags, e.settled = noFlags(), noFlags()
	e.expected = Prediction{math.NaN(), math.NaN(), math.NaN()}
	e.surprise = math.NaN()
	if len(obs) > 0 {
		e.begin(obs, extra)
	}
	return e
}

// begin chooses scale and model from the settings, the first reading and the changes of dosing.
func (e *engine) begin(obs []Observation, extra []Input) {
	floored := hasFloor(e.set)
	m := newModel(wobbleOf(e.set), floored)
	start := byMoment(obs[:momentEnd(obs, 0)])[0]
	bank := m.bank
	if !start.Described {
		bank = m.blindBank(len(start.Kits))
	}
	scale := newScale(e.set, start)
	m.carry(append(slices.Clone(e.in), extra...), scale.anchor)
	e.belief = newFilter(m, scale, bank, e.set)
	if floored {
		e.danger = e.belief.newDangers()
	}
}

// clone is an engine that can be moved on without touching e.
func (e *engine) clone() *engine {
	c := *e
	c.belief = e.belief.clone()
	return &c
}

// advance moves the belief to a day, taking the inputs on the way. Before the first reading there is no belief to move;
// inputs then only set the supply and the habits to start from.
func (e *engine) advance(day float64) {
	f := e.belief
	for e.next < len(e.in) && e.in[e.next].Day <= day {
		in := e.in[e.next]
		e.next++
		if !f.started {
			if in.Kind == Dosing {
				f.supply = in.Amount
			}
			continue
		}
		f.predict(in.Day - f.day)
		f.take(in)
		f.adopt(habitAt(e.in[:e.next], in.Day, f.anchor))
	}
	if !f.started {
		f.habit = habitAt(e.in[:e.next], day, f.anchor)
		return
	}
	f.predict(day - f.day)
	f.adopt(habitAt(e.in[:e.next], day, f.anchor))
}

// read takes a reading. predict says whether to work out what was expected of it.
func (e *engine) read(o Observation, foretell bool) {
	if e.n == 0 || o.Day > e.latest.Day {
		e.settled = e.flags
	}
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
	if e.danger != nil {
		e.flags = e.settled.decide(e.danger.chances(e.belief), o.Day)
	}
}

// foretell notes what the readings so far say of one about to come.
func (e *engine) foretell(o Observation) {
	e.expected = Prediction{math.NaN(), math.NaN(), math.NaN()}
	e.surprise = math.NaN()
	if e.n == 0 {
		return
	}
	p := e.belief.readingSpread(o)
	e.expected = p.prediction()
	e.surprise, e.lowSide = p.tail()
}
