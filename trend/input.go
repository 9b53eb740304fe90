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
	f.target = sized(f.target, f.n*len(to))
	lo, hi := math.Inf(1), math.Inf(-1)
	for m, fn := range to {
		for i, level := range f.levels {
			t := math.Max(math.Log(math.Max(fn(level), lowestLevel))/f.width, float64(f.bottom))
			f.target[m*f.n+i] = t
			lo, hi = math.Min(lo, t), math.Max(hi, t)
		}
	}
	first := int(math.Floor(lo))
	n := max(int(math.Floor(hi))+2-first, leastCells)
	room := max(f.stride, n+n/2)
	rows := len(f.bank) * len(f.hyps)
	f.spare = sized(f.spare, rows*room)
	clear(f.spare)
	each := 1 / float64(len(to))
	for m := range to {
		for i, t := range f.target[m*f.n : (m+1)*f.n] {
			whole := math.Floor(t)
			at, part := int(whole)-first, t-whole
			for r := range rows {
				p := each * f.cells[r*f.stride+i]
				f.spare[r*room+at] += (1 - part) * p
				f.spare[r*room+at+1] += part * p
			}
		}
	}
	f.cells, f.spare = f.spare, f.cells
	f.lo, f.n, f.stride = first, n, room
	f.relevel()
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
	if f.n == 0 {
		return
	}
	f.column = sized(f.column, len(f.hyps))
	column := f.column
	for i, level := range f.levels {
		extra := rise(level)
		if extra == 0 {
			continue
		}
		for b := range f.bank {
			clear(column)
			for k := range f.hyps {
				p := f.row(b, k)[i]
				if p == 0 {
					continue
				}
				f.share(column, p, k, f.logRate(k, level)+extra/level, level)
			}
			for k := range f.hyps {
				f.row(b, k)[i] = column[k]
			}
		}
	}
}

// share divides probability p between the hypotheses next to a logarithmic net slope. What moved by a constant amount, or
// stood still, goes to constant amounts where the model has them; the rest stays first-order.
func (f *filter) share(column []float64, p float64, k int, slope, level float64) {
	constant := f.hyps[k].motion != relative && slope < 0
	below, above := -1, -1 // neighbours in slope
	var sBelow, sAbove float64
	usable := func(j int) bool {
		m := f.hyps[j].motion
		return m == still || (m == absolute) == constant
	}
	if constant && !f.hasAbsolute() {
		usable = func(j int) bool { return true }
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

func (f *filter) hasAbsolute() bool {
	for _, h := range f.hyps {
		if h.motion == absolute {
			return true
		}
	}
	return false
}
