package trend

import "math"

// take puts a known input into the belief, at the belief's own moment. Doses and water changes move every cell to where
// the arithmetic puts it, exactly, so that a water change is a step and not a trend; a change of dosing shifts the slope
// of every course by the same amount.
func (f *filter) take(in Input) {
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

// changeWater replaces a fraction of the water. Where the level of the new water is not known, half the belief takes it
// for like the tank's and half for empty, if there is a floor to be careful about; without one, all for like the tank's,
// as fresh salt water is in everything that corals build with.
func (f *filter) changeWater(in Input) {
	keep := 1 - in.Fraction
	switch {
	case !math.IsNaN(in.New):
		fresh := in.New / f.anchor
		f.mapLevels(func(level float64) float64 { return keep*level + in.Fraction*fresh })
	case f.floored:
		f.mapLevels(
			func(level float64) float64 { return level },
			func(level float64) float64 { return keep * level },
		)
	}
}

// mapLevels moves the probability of every cell to where a monotone function of the level (in anchors) puts it, by linear
// interpolation between the two cells about it. Several functions share the probability equally.
func (f *filter) mapLevels(to ...func(level float64) float64) {
	var all span
	for b := range f.bank {
		all = all.with(f.union(b))
	}
	f.target = sized(f.target, f.n*len(to))
	reach := span{f.lo, f.lo + f.n}
	for m, fn := range to {
		for i := all.from; i < all.to; i++ {
			t := math.Max(math.Log(math.Max(fn(f.levels[i]), lowestLevel))/f.width, float64(f.bottom))
			f.target[m*f.n+i] = t
			whole := int(math.Floor(t)) // t may be negative
			reach = reach.with(span{whole, whole + 2})
		}
	}
	for b := range f.ripple { // what was seen moves along
		sum := 0.0
		for _, fn := range to {
			sum += math.Log(math.Max(fn(math.Exp(f.ripple[b].seen)), lowestLevel))
		}
		f.ripple[b].seen = sum / float64(len(to))
	}
	columns, shift := f.n, f.lo
	f.extend(reach)
	shift -= f.lo // by so many columns everything moved up when the table was extended
	each := 1 / float64(len(to))
	for r, s := range f.spans {
		if s.empty() {
			f.others[r] = s
			continue
		}
		row, out := f.cells[r*f.n:(r+1)*f.n], f.spare[r*f.n:(r+1)*f.n]
		var arrived span
		for m := range to {
			goals := f.target[m*columns : (m+1)*columns]
			first, last := goals[s.from-shift], goals[s.to-1-shift]
			arrived = arrived.with(span{int(math.Floor(first)) - f.lo, min(int(math.Floor(last))+2-f.lo, f.n)})
		}
		clear(out[arrived.from:arrived.to])
		for m := range to {
			goals := f.target[m*columns : (m+1)*columns]
			for i := s.from; i < s.to; i++ {
				whole := math.Floor(goals[i-shift])
				at, part := int(whole)-f.lo, goals[i-shift]-whole
				out[at] += each * (1 - part) * row[i]
				if at+1 < f.n {
					out[at+1] += each * part * row[i]
				}
			}
		}
		f.others[r] = arrived
	}
	f.cells, f.spare = f.spare, f.cells
	f.spans, f.others = f.others, f.spans
}

// resupply sets the standing supply, perDay in canonical units: each piece of belief goes to the two hypotheses whose net
// slopes lie about its new one, in the shares that keep the mean slope exact.
func (f *filter) resupply(perDay float64) {
	extra := (perDay - f.supply) / f.anchor
	f.supply = perDay
	f.reslope(func(float64) float64 { return extra })
}

// reslope adds rise(level), in anchors per day at a level in anchors, to the net slope of every course.
func (f *filter) reslope(rise func(level float64) float64) {
	if !f.started {
		return
	}
	f.column = sized(f.column, len(f.hyps))
	column := f.column
	for b := range f.bank {
		u := f.union(b)
		for k := range f.hyps {
			f.cover(b*len(f.hyps)+k, u)
		}
		for i := u.from; i < u.to; i++ {
			level := f.levels[i]
			extra := rise(level)
			clear(column)
			for k := range f.hyps {
				if p := f.cells[(b*len(f.hyps)+k)*f.n+i]; p > 0 {
					f.share(column, p, k, f.logRate(k, level)+extra/level, level)
				}
			}
			for k := range f.hyps {
				f.cells[(b*len(f.hyps)+k)*f.n+i] = column[k]
			}
		}
	}
}

// share divides probability p between the hypotheses next to a logarithmic net slope. What moved by a constant amount, or
// stood still, goes to constant amounts where the model has them, for supply is constant; the rest stays first-order.
func (f *filter) share(column []float64, p float64, k int, slope, level float64) {
	constant := f.hasAbsolute() && (f.hyps[k].motion != relative || f.beyondRelative(slope))
	below, above := -1, -1 // neighbours in slope
	var sBelow, sAbove float64
	usable := func(j int) bool {
		m := f.hyps[j].motion
		return m == still || (m == absolute) == constant
	}
	for j := range f.hyps {
		if !usable(j) {
			continue
		}
		s := f.logRate(j, level)
		if s <= slope && (below < 0 || s > sBelow) {
			below, sBelow = j, s
		}
		if s >= slope && (above < 0 || s < sAbove) {
			above, sAbove = j, s
		}
	}
	switch {
	case below < 0:
		column[above] += p
	case above < 0:
		column[below] += p
	case sAbove == sBelow:
		column[below] += p
	default:
		part := (slope - sBelow) / (sAbove - sBelow)
		column[above] += part * p
		column[below] += (1 - part) * p
	}
}

// beyondRelative says whether a slope is steeper than any first-order course.
func (f *filter) beyondRelative(slope float64) bool {
	lo, hi := 0.0, 0.0
	for _, h := range f.hyps {
		if h.motion == relative {
			lo, hi = math.Min(lo, h.rate), math.Max(hi, h.rate)
		}
	}
	return slope < lo || slope > hi
}

func (f *filter) hasAbsolute() bool {
	for _, h := range f.hyps {
		if h.motion == absolute {
			return true
		}
	}
	return false
}
