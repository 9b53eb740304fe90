package trend

import "math"

// update sharpens the belief by one reading taken at the belief's own moment.
//
// A coarse step, a scale mark, "<" and ">" are all treated alike. A piece keeps mean and covariance under the chance of
// the report (assumed-density filtering: Maybeck, 1982, Stochastic Models, Estimation and Control 2, chapter 12; from
// memory). With chance model.gross the report has nothing to do with the level but its order of magnitude. So a blunder
// is given less weight the less it fits, and is neither believed nor deleted.
func (f *belief) update(o Observation) {
	first := !f.started
	if first {
		f.begin(o)
	}
	if !o.Described && len(o.Kits) > 0 {
		f.reconsider(o)
	}
	f.allowJump()
	blunder := f.gross * f.blunderChance(o)
	var chances reportChances
	for i := range f.members {
		m := &f.members[i]
		if i == 0 || !m.sameMethod(f.members[i-1].member) {
			chances = f.chancesOf(f.marks.takes(o, m.member))
		}
		slip := m.pieces[atRest]
		for j := range m.pieces {
			p := &m.pieces[j]
			if p.weight() <= leastPiece {
				p.w = [restlessKinds]float64{}
				continue
			}
			p.sharpen(&chances, blunder, 1-f.gross)
		}
		if first { // of the first reading, a blunder is kept apart from what it hides
			m.pieces[justEnded] = slip.scaled(blunder)
		}
	}
	if !f.normalise() { // nothing believed can have given this reading, nor a blunder: begin again
		f.started = false
		f.begin(o)
		return
	}
	f.since = 0
	if !first {
		for i := range f.members {
			f.members[i].settle(f.model)
		}
	}
}

// sharpen multiplies a piece by the chance of a report, blunder included.
func (p *piece) sharpen(chances *reportChances, blunder, sound float64) {
	mean, variance := p.level()
	z, m, v := chances.under(mean, variance)
	if z *= sound; z <= 0 {
		*p = p.scaled(blunder)
		return
	}
	if doubt := blunder / (blunder + z); doubt > 0.5 || variance < 5*v {
		// else two peaks far apart: the lower one is left out
		d := m - mean
		m -= doubt * d
		v = (1-doubt)*v + doubt*variance + doubt*(1-doubt)*d*d
	}
	gc, gs, gu := (p.cc+p.cu)/variance, (p.cs+p.su)/variance, (p.cu+p.uu)/variance
	d, less := m-mean, v-variance
	p.c, p.s, p.u = p.c+gc*d, p.s+gs*d, p.u+gu*d
	p.cc, p.cs, p.cu = p.cc+gc*gc*less, p.cs+gc*gs*less, p.cu+gc*gu*less
	p.ss, p.su, p.uu = p.ss+gs*gs*less, p.su+gs*gu*less, p.uu+gu*gu*less
	for r := range p.w {
		p.w[r] *= z + blunder
	}
}

// reportChances tabulates the chance of a report at levels whose logarithms lie evenly; beyond the ends it is that at
// the ends, and none where it is hardly any there: that is where most of a wide belief lies.
type reportChances struct {
	from, step float64
	chance     []float64
}

// hardly is the chance of a report that counts for none beside that of a blunder.
const hardly = 1e-6

// chancesOf tabulates a report. The step resolves the method's scatter.
func (f *belief) chancesOf(r report) reportChances {
	lo, hi := r.lo, r.hi
	if math.IsInf(hi, 1) {
		hi = max(lo, r.value)
	}
	lo, hi = lo-5*r.sdBelow, hi+5*r.sdAbove
	from := math.Log(lowestLevel)
	if lo > f.anchor*lowestLevel {
		from = math.Log(lo / f.anchor)
	}
	to := max(math.Log(max(hi/f.anchor, lowestLevel)), from)
	step := 0.9 * min(r.sdBelow, r.sdAbove) / max(hi, f.anchor*lowestLevel)
	step = max(max(step, 0.05*f.wobble), (to-from)/400)
	n := int((to-from)/step) + 2
	t := reportChances{from, step, make([]float64, n)}
	level, factor := f.anchor*math.Exp(from), math.Exp(step)
	for i := range t.chance {
		sd := r.sdAt(level)
		if least := 0.5 * step * level; sd < least {
			sd = least
		}
		t.chance[i] = r.share * intervalChance((r.lo-level)/sd, (r.hi-level)/sd)
		level *= factor
	}
	return t
}

// under is the chance of the report for a level whose logarithm is Gaussian, and mean and variance of that logarithm
// given the report.
func (t *reportChances) under(mean, variance float64) (chance, m, v float64) {
	sd := math.Sqrt(variance)
	if sd < 0.8*t.step {
		return t.narrow(mean, sd)
	}
	const reach = 4
	first, last := int(math.Ceil((mean-reach*sd-t.from)/t.step)), int(math.Floor((mean+reach*sd-t.from)/t.step))
	end := len(t.chance) - 1
	if t.chance[0] < hardly {
		first = max(first, 0)
	}
	if t.chance[end] < hardly {
		last = min(last, end)
	}
	z, step := (t.from+float64(first)*t.step-mean)/sd, t.step/sd
	g := gaussRun{math.Exp(-0.5 * z * z), math.Exp(-step*z - 0.5*step*step), math.Exp(-step * step)}
	var s0, s1, s2 float64
	for i := first; i <= last; i++ {
		w := g.next() * t.chance[min(max(i, 0), end)]
		x := float64(i - first)
		s0 += w
		s1 += w * x
		s2 += w * x * x
	}
	if !(s0 > 0) {
		return 0, mean, variance
	}
	x := s1 / s0
	return s0 * step / math.Sqrt(2*math.Pi), t.from + (float64(first)+x)*t.step,
		max(sq(t.step)*(s2/s0-x*x), 1e-4*variance)
}

// narrow is under for a Gaussian narrower than the steps of the table.
func (t *reportChances) narrow(mean, sd float64) (chance, m, v float64) {
	var s0, s1, s2 float64
	for _, n := range [...]struct{ at, w float64 }{{-2.8569700138728056, 0.011257411327720688},
		{-1.355626179974266, 0.2220759220056126},
		{0, 0.5333333333333333}, {1.355626179974266, 0.2220759220056126}, {2.8569700138728056, 0.011257411327720688}} {
		at := (mean + n.at*sd - t.from) / t.step
		i := min(max(int(math.Floor(at)), 0), len(t.chance)-2)
		part := min(max(at-float64(i), 0), 1)
		w := n.w * ((1-part)*t.chance[i] + part*t.chance[i+1])
		s0 += w
		s1 += w * n.at
		s2 += w * n.at * n.at
	}
	if !(s0 > 0) {
		return 0, mean, sq(sd)
	}
	x := s1 / s0
	return s0, mean + sd*x, sq(sd) * max(s2/s0-x*x, 1e-3)
}

// normalise makes the probabilities sum to one, drops the members that count for nothing, and notes mean and variance
// of the course. It is false where nothing is left.
func (f *belief) normalise() bool {
	total := 0.0
	for i := range f.members {
		for j := range f.members[i].pieces {
			total += f.members[i].pieces[j].weight()
		}
	}
	if !(total > 1e-280) {
		return false
	}
	kept := f.members[:0]
	var sum, sumSq, all float64
	for _, m := range f.members {
		share := 0.0
		for j := range m.pieces {
			p := &m.pieces[j]
			*p = p.scaled(1 / total)
			w := p.weight()
			share += w
			sum += w * p.c
			sumSq += w * (p.c*p.c + p.cc)
			all += w
		}
		if share > leastMember {
			kept = append(kept, m)
		}
	}
	f.members = kept
	f.mean = sum / all
	f.variance = max(sumSq/all-f.mean*f.mean, 0)
	return true
}

// allowJump leaves a small chance that the level was moved by something that nobody wrote down, to wherever the reading
// points.
func (f *belief) allowJump() {
	chance := 1 - math.Exp(-f.jump*f.since)
	if chance <= 0 {
		return
	}
	for i := range f.members {
		m := &f.members[i]
		p := piece{c: f.mean, cc: sq(f.jumpSD) + f.variance, uu: sq(m.sd)}
		for j := range m.pieces {
			for r, w := range m.pieces[j].w {
				// A tank that hardly ever starts to fall is hardly ever moved unseen either. Were the jump as likely
				// in it as in a restless one, it would explain away the first real fall after a quiet year.
				p.w[r] += w * chance * min(1, f.restless[r])
			}
		}
		m.pieces[justJumped] = p
	}
}

// gaussRun gives exp(−z²/2) at equal steps of z, each from the one before.
type gaussRun struct{ value, factor, factor2 float64 }

func (g *gaussRun) next() float64 {
	v := g.value
	g.value *= g.factor
	g.factor *= g.factor2
	return v
}

// blunderChance is the chance of the report if it is a gross error: a level of the right order of magnitude only.
func (f *belief) blunderChance(o Observation) float64 {
	mean, sd := f.mean, math.Sqrt(sq(f.grossSD)+f.variance)
	lo, hi := sharpened(o.Lo, o.Hi, o.SD)
	p := 0.0
	if hi > 0 {
		p = normalCDF((math.Log(hi/f.anchor) - mean) / sd)
	}
	if lo > 0 {
		p -= normalCDF((math.Log(lo/f.anchor) - mean) / sd)
	}
	return max(p, 0)
}

// sharpened is the interval of a report, given a little width where a method reports without steps, so that a report is
// always an event with a chance of its own.
func sharpened(lo, hi, sd float64) (float64, float64) {
	if least := 0.02 * sd; hi-lo < least {
		mid := (lo + hi) / 2
		lo, hi = mid-least/2, mid+least/2
	}
	return lo, hi
}
