package trend

import "math"

// floorChances are the chances of being below the floor now, and on any day up to each horizon.
type floorChances struct {
	now float64
	by  [horizons]float64
}

// within is the chance within some days, a multiple of nearStep up to alarmDays.
func (c *floorChances) within(days float64) float64 { return c.by[int(days/nearStep)] }

// reached is the number of days within which the chance reaches the one given; +Inf where that is not within Horizon.
func (c *floorChances) reached(chance float64) float64 {
	for i, p := range c.by {
		if p < chance {
			continue
		}
		if i == 0 {
			return 0
		}
		part := (chance - c.by[i-1]) / (p - c.by[i-1])
		return horizonDays[i-1] + part*(horizonDays[i]-horizonDays[i-1])
	}
	return math.Inf(1)
}

// chances works out the chances at the horizons wanted, with the inputs that lie ahead.
func (f *belief) chances(wanted []int, ahead []Input) floorChances {
	var out floorChances
	safe := make([]float64, len(wanted))
	all, above := 0.0, 0.0
	tail := future{f, ahead}
	var room [9]node
	f.each(func(m *memberBelief, p *piece) {
		w := p.weight()
		if w < leastLook {
			return
		}
		all += w
		table := m.below()
		for _, n := range p.nodes(table, room[:0]) {
			here := n.weight * n.above
			above += w * here
			if here < 1e-6 || n.c < 0 {
				continue
			}
			tail.safe(table, p, n, here, wanted, safe)
		}
	})
	out.now = 1 - above/all
	worst := 0.0
	for i, h := range wanted {
		worst = max(worst, 1-safe[i]/all) // inputs ahead are met node by node: rounding must not undo what is past
		out.by[h] = worst
	}
	return out
}

// leastLook is the probability under which a piece is not looked at for its future.
const leastLook = 1e-3

// node is one course of many that a piece stands for: where it is, how it moves, and the chance that the level on it
// is above the floor now.
type node struct {
	c, s, weight, above float64
	row                 row
}

// nodes are nine courses of a piece, or three of a still one, weighted by Gauss–Hermite quadrature.
func (p *piece) nodes(t *below, all []node) []node {
	follows, left := 0.0, p.cc // the course, given the slope
	if p.ss > 0 {
		follows = p.cs / p.ss
		left = max(p.cc-p.cs*follows, 0)
	}
	gain := 0.0 // the wobble, given the course
	if p.cc > 0 {
		gain = p.cu / p.cc
	}
	sdS, sdC, sdU := math.Sqrt(p.ss), math.Sqrt(left), math.Sqrt(max(p.uu-gain*p.cu, 1e-12))
	for _, ns := range threeNodes {
		if p.ss == 0 {
			if ns.at != 0 {
				continue
			}
			ns.weight = 1
		}
		slope := p.s + ns.at*sdS
		row := t.row(p.motion, slope)
		for _, nc := range threeNodes {
			n := node{row: row, c: p.c + follows*ns.at*sdS + nc.at*sdC, s: slope, weight: ns.weight * nc.weight}
			n.above = quickCDF((n.c + p.u + gain*(n.c-p.c)) / sdU)
			all = append(all, n)
		}
	}
	return all
}

// future is what lies ahead of a belief: its inputs, in time order.
type future struct {
	by     *belief
	inputs []Input
}

// safe adds to out, times weight, the chances that a node of a piece stays above the floor up to the horizons wanted.
// Between inputs the table tells; an input moves the course on from where it then is.
func (u *future) safe(t *below, of *piece, n node, weight float64, wanted []int, out []float64) {
	if len(u.inputs) == 0 {
		t.spot(n.row, n.c).add(t, of.w, weight, wanted, out)
		return
	}
	from, supply, next := 0.0, u.by.supply, 0
	at := (&piece{motion: of.motion, c: n.c, s: n.s, w: of.w}).scaled(weight)
	read := func(upTo float64) {
		for ; next < len(wanted) && horizonDays[wanted[next]] <= upTo; next++ {
			stays := t.within(&at, horizonDays[wanted[next]]-from)
			out[next] += stays.weight()
		}
	}
	for _, in := range u.inputs {
		to := max(in.Day-u.by.day, from)
		read(to)
		at = t.within(&at, to-from)
		at.move(to - from)
		from = to
		at.meet(in, u.by, supply)
		if in.Kind == Dosing {
			supply = in.Amount
		}
		if at.c < 0 {
			return
		}
	}
	read(math.Inf(1))
}

// meet puts an input into a course.
func (p *piece) meet(in Input, by *belief, supply float64) {
	level := math.Exp(p.c)
	rise := in.Amount / by.anchor // of a dose
	switch in.Kind {
	case Dosing:
		if extra := (in.Amount - supply) / by.anchor; extra != 0 {
			p.drive(extra)
		}
		return
	case Change:
		fresh := in.New / by.anchor
		if math.IsNaN(fresh) {
			fresh = level / 2 // as changeWater takes it, on average
		}
		rise = in.Fraction * (fresh - level)
	}
	p.c = math.Log(max(level+rise, lowestLevel))
}

// within is what is left of a course that stays above the floor for some days.
func (t *below) within(p *piece, days float64) piece {
	h := 0
	for h < horizons-2 && horizonDays[h+1] <= days {
		h++
	}
	part := min((days-horizonDays[h])/(horizonDays[h+1]-horizonDays[h]), 1)
	s := t.spot(t.row(p.motion, p.s), p.c)
	left := *p
	for r := range left.w {
		a, b := s.read(t.safe[h][r]), s.read(t.safe[h+1][r])
		left.w[r] *= a + part*(b-a)
	}
	return left
}
