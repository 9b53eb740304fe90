package trend

import "math"

// take puts a known input into the belief, at the belief's own moment. Doses and water changes move every piece to
// where the arithmetic puts it, so that a water change is a step and not a trend; a change of dosing shifts the slope
// of every course by the same amount.
func (f *belief) take(in Input) {
	switch in.Kind {
	case Dose:
		rise := in.Amount / f.anchor
		f.mapLevels(func(level float64) float64 { return level + rise })
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
