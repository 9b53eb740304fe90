package trend

import (
	"math"
	"slices"
)

// doseDoubt is how far a dose is off that nobody has tested after, as a share of it: the net volume is seldom known
// better than to a tenth, for rock and sand take up as much, and to that comes the strength (common practice, no
// source). What a reading has followed, that reading tells.
const doseDoubt = 0.1

// take puts a known input into the belief, at the belief's own moment. Doses and water changes move every piece to
// where the arithmetic puts it, so that a water change is a step and not a trend; a change of dosing shifts the slope
// of every course by the same amount.
func (f *belief) take(in Input) {
	switch in.Kind {
	case Dose:
		rise := in.Amount / f.anchor
		f.mapLevels(func(level float64) float64 { return level + rise })
		f.each(func(_ *memberBelief, p *piece) { p.cc += sq(f.doubt * rise / math.Exp(p.c)) })
	case Change:
		f.changeWater(in)
	case Dosing:
		f.resupply(in.Amount)
	}
}

// changeWater replaces a fraction of the water. Where the level of the new water is not known, half the belief takes
// it for like the tank's and half for empty, if there is a floor to be careful about; without one, all for like the
// tank's, as fresh salt water is in everything that corals build with.
func (f *belief) changeWater(in Input) {
	keep := 1 - in.Fraction
	switch {
	case !math.IsNaN(in.New):
		fresh := in.New / f.anchor
		f.mapLevels(func(level float64) float64 { return keep*level + in.Fraction*fresh })
	case f.floored:
		for i := range f.members {
			for j := range f.members[i].pieces {
				p := &f.members[i].pieces[j]
				half := p.scaled(0.5)
				other := half
				other.mapLevel(func(level float64) float64 { return keep * level })
				half.add(&other)
				*p = half
			}
		}
	}
}

// mapLevels moves every piece to where a function of the level (in anchors) puts it.
func (f *belief) mapLevels(to func(level float64) float64) {
	f.each(func(_ *memberBelief, p *piece) { p.mapLevel(to) })
	f.mean = math.Log(max(to(math.Exp(f.mean)), lowestLevel))
}

// mapLevel moves a piece, by the slope of the function between the standard deviations on either side.
func (p *piece) mapLevel(to func(level float64) float64) {
	at := func(c float64) float64 { return math.Log(max(to(math.Exp(c)), lowestLevel)) }
	sd := max(math.Sqrt(p.cc), 1e-4)
	slope := (at(p.c+sd) - at(p.c-sd)) / (2 * sd)
	p.c = at(p.c)
	p.cc, p.cs, p.cu = slope*slope*p.cc+1e-8, slope*p.cs, slope*p.cu
	p.bound()
}

// resupply sets the standing supply, perDay in canonical units.
func (f *belief) resupply(perDay float64) {
	extra := (perDay - f.supply) / f.anchor
	f.supply = perDay
	f.reslope(func(float64) float64 { return extra })
}

// reslope adds rise(level), in anchors per day at a level in anchors, to the net slope of every course.
func (f *belief) reslope(rise func(level float64) float64) {
	if !f.started {
		return
	}
	for i := range f.members {
		m := &f.members[i]
		for j := len(m.pieces) - 1; j >= 0; j-- { // the driven one first, since others join it
			if p := &m.pieces[j]; p.weight() > 0 {
				level := math.Exp(p.c)
				m.drive(f.model, p, rise(level), level)
			}
		}
	}
}

// drive adds an amount per day to the slope of a piece. A still course begins to move by it; of an amount that a
// tenth of a wobble a week exceeds, only a share moves, so fast. A course that changes in proportion goes on by
// constant amounts, for supply is constant, unless the amount is small.
func (m *memberBelief) drive(by *model, p *piece, extra, level float64) {
	driven := &m.pieces[firstCourse+2*(len(by.courses)-1)]
	switch {
	case extra == 0:
	case p.motion == relative && math.Abs(extra) < 0.3*by.wobble*level:
		p.s += extra / level
	case p.motion == relative:
		q := *p
		q.drive(extra)
		driven.add(&q)
		p.w = [restlessKinds]float64{}
	case p.motion == still:
		least := 0.1 * by.wobble * level / 7
		share := min(math.Abs(extra)/least, 1)
		q := p.scaled(share)
		*p = p.scaled(1 - share)
		q.drive(math.Copysign(max(math.Abs(extra), least), extra))
		q.ss = sq(stillRate * by.wobble * level)
		driven.add(&q)
	default:
		p.s += extra
	}
}

// drive makes a piece move by constant amounts, and by so much more.
func (p *piece) drive(extra float64) {
	level := 1.0
	if p.motion == relative {
		level = math.Exp(p.c)
	}
	p.motion = driven
	p.s = p.s*level + extra
	p.cs, p.ss, p.su = p.cs*level, p.ss*level*level, p.su*level
}

// supplyAt is the standing supply in force on a day, of inputs in time order.
func supplyAt(in []Input, day float64) (perDay float64) {
	for _, i := range in {
		if i.Kind == Dosing && i.Day <= day {
			perDay = i.Amount
		}
	}
	return perDay
}

// habit is what regular doses and water changes do on average. A tank that has its water changed every week and stays
// where it is, is one whose feeding makes up for the changes; and so for a weekly dose. The engine therefore counts a
// habit as part of the balance: "still" means still with the habit going on, a forecast goes on with it, and only a
// break with it is a change of course.
type habit struct {
	dose     float64 // anchors per day
	fraction float64 // of the water per day
	fresh    float64 // level of the new water, anchors
}

func (h habit) regular() bool { return h.dose != 0 || h.fraction != 0 }

// perDay is the habit's effect per day at a level, both in anchors.
func (h habit) perDay(level float64) float64 { return h.dose + h.fraction*(h.fresh-level) }

// near says whether two habits differ by less than a tenth of their size.
func (h habit) near(g habit) bool {
	close := func(a, b float64) bool { return math.Abs(a-b) <= 0.1*max(math.Abs(a), math.Abs(b)) }
	return close(h.dose, g.dose) && close(h.fraction, g.fraction) && math.Abs(h.fresh-g.fresh)*h.fraction < 0.01
}

const (
	habitInputs = 3   // so many inputs make a habit
	habitLooks  = 6   // so many of the latest are looked at
	habitSpan   = 13  // days that they must span, so that doses on successive days are none
	habitLapse  = 1.6 // gaps without an input after which a habit has lapsed
	habitEven   = 0.4 // how far a gap may differ from the median one, as a fraction
)

// habitAt finds the habits in force on a day among the inputs before it, which are in time order.
func habitAt(in []Input, day, anchor float64) habit {
	var h habit
	if every, last := regularly(in, Dose, day); every > 0 {
		h.dose = medianOf(last, func(i Input) float64 { return i.Amount }) / every / anchor
	}
	if every, last := regularly(in, Change, day); every > 0 {
		h.fresh = medianOf(last, func(i Input) float64 { return i.New }) / anchor
		h.fraction = medianOf(last, func(i Input) float64 { return i.Fraction }) / every
		if math.IsNaN(h.fresh) {
			h.fresh, h.fraction = 0, h.fraction/2 // as changeWater takes unknown water, on average
		}
	}
	return h
}

// regularly gives the median gap between the latest inputs of a kind where they come regularly up to the day, else 0.
func regularly(in []Input, kind InputKind, day float64) (every float64, last []Input) {
	for i := len(in) - 1; i >= 0 && len(last) < habitLooks; i-- {
		if in[i].Kind == kind {
			last = append(last, in[i])
		}
	}
	if len(last) < habitInputs || last[0].Day-last[len(last)-1].Day < habitSpan {
		return 0, nil
	}
	gaps := make([]float64, len(last)-1)
	for i := range gaps {
		gaps[i] = last[i].Day - last[i+1].Day
	}
	every = Median(gaps)
	even := 0
	for _, g := range gaps {
		if math.Abs(g-every) <= habitEven*every {
			even++
		}
	}
	if every <= 0 || 3*even < 2*len(gaps) || day-last[0].Day > habitLapse*every {
		return 0, nil
	}
	return every, last
}

func medianOf(in []Input, of func(Input) float64) float64 {
	v := make([]float64, len(in))
	for i := range v {
		v[i] = of(in[i])
	}
	return Median(v)
}

// adopt takes over the habit in force; courses keep what happens between inputs and change in what is net of them.
func (f *belief) adopt(h habit) {
	if h.near(f.habit) {
		return
	}
	old := f.habit
	f.habit = h
	f.reslope(func(level float64) float64 { return h.perDay(level) - old.perDay(level) })
}

// Median of some values; NaN of none, and where one is NaN.
func Median(v []float64) float64 {
	v = slices.Clone(v)
	slices.Sort(v)
	n := len(v)
	if n == 0 || math.IsNaN(v[0]) { // which stands before all numbers
		return math.NaN()
	}
	return (v[(n-1)/2] + v[n/2]) / 2
}
