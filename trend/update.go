package trend

import "math"

// update sharpens the belief by one reading taken at the belief's own moment.
//
// The chance of a report at a level is that of the method's Gaussian error falling into the report's interval, so a
// coarse step, a scale mark, "<" and ">" are all treated alike and exactly. A gross error is the second part of a
// two-part mixture: with chance model.gross the report has nothing to do with the level but its order of magnitude. So a
// blunder is given less weight the less it fits, and is neither believed nor deleted.
func (f *filter) update(o Observation) {
	if !f.started {
		f.start(o)
	}
	if !o.Described && len(o.Kits) > 0 {
		f.reconsider(o)
	}
	before := 1 + f.allowJump(o)
	blunder := f.gross * f.blunderChance(o)
	f.sums = sized(f.sums, f.n)
	clear(f.sums)
	var all span
	for b := range f.bank {
		all = all.with(f.union(b))
	}
	for b := 0; b < len(f.bank); {
		if b == 0 || !f.bank[b].sameMethod(f.bank[b-1]) {
			f.reportChances(o, f.bank[b], all)
		}
		end := f.kin(b)
		f.sharpen(b, end, blunder, all)
		b = end
	}
	total := 0.0
	for _, p := range f.sums[all.from:all.to] {
		total += p
	}
	if !(total > 0) { // nothing believed can have given this reading, nor a blunder: begin again
		f.start(o)
		return
	}
	gross := before * blunder / total
	f.normalise(total, all)
	for b := range f.bank {
		f.seeRipple(b, o, gross)
	}
}

// sharpen multiplies the rows of kin, members b … end−1, by the chance of the report, of which f.raw holds what the method
// does to it, and adds them into f.sums.
func (f *filter) sharpen(b, end int, blunder float64, all span) {
	pull, seen, variance := f.ahead(b)
	f.smoothChances(variance, all)
	for i := all.from; i < all.to; i++ {
		f.smooth[i] = blunder + (1-f.gross)*f.smooth[i]
	}
	like := f.smooth
	for k := range f.hyps {
		var s span
		for c := b; c < end; c++ {
			s = s.with(f.spans[c*len(f.hyps)+k])
		}
		if s.empty() {
			continue
		}
		if pull > leastPull {
			like = f.courseChances(k, pull, seen, s, all)
		}
		for c := b; c < end; c++ {
			row, s := f.row(c, k)
			if s.empty() {
				continue
			}
			sums, l, row := f.sums[s.from:s.to], like[s.from:s.to], row[s.from:s.to]
			for i, p := range row {
				p *= l[i]
				row[i] = p
				sums[i] += p
			}
		}
	}
}

// normalise makes the table sum to one, drops from the ends of every row what is next to nothing, and notes the moments
// of the course and the weights of the members.
func (f *filter) normalise(total float64, all span) {
	scale := 1 / total
	for b := range f.bank {
		sum := 0.0
		for k := range f.hyps {
			row, s := f.row(b, k)
			least := tinyCell * total
			for s.from < s.to && row[s.from] < least {
				s.from++
			}
			for s.to > s.from && row[s.to-1] < least {
				s.to--
			}
			f.spans[b*len(f.hyps)+k] = s
			if s.empty() {
				continue
			}
			row = row[s.from:s.to]
			for i, p := range row {
				p *= scale
				row[i] = p
				sum += p
			}
		}
		f.weight[b] = sum
	}
	sum, sumSq := 0.0, 0.0
	for i := all.from; i < all.to; i++ {
		x := f.logLevel(float64(f.lo + i))
		sum += f.sums[i] * scale * x
		sumSq += f.sums[i] * scale * x * x
	}
	f.mean, f.variance = sum, math.Max(sumSq-sum*sum, 0)
}

// allowJump leaves a small chance that the level was moved by something that nobody wrote down, to wherever the reading
// points. It returns what it added.
func (f *filter) allowJump(o Observation) (added float64) {
	chance := 1 - math.Exp(-f.jump*f.ripple[0].since)
	if chance <= 0 {
		return 0
	}
	s := f.reach(o)
	f.extend(s)
	s.from, s.to = s.from-f.lo, s.to-f.lo
	sd := math.Sqrt(sq(f.jumpSD) + f.variance)
	height := chance * f.width / (sd * math.Sqrt(2*math.Pi))
	f.like = sized(f.like, f.n)
	g := newGaussRun((f.logLevel(float64(f.lo+s.from))-f.mean)/sd, f.width/sd)
	for i := s.from; i < s.to; i++ {
		f.like[i] = height * g.next()
		added += f.like[i]
	}
	for b, m := range f.bank {
		row, _ := f.row(b, 0)
		f.cover(b*len(f.hyps), s)
		// A tank that hardly ever starts to fall is hardly ever moved unseen either. Were the jump as likely in it as in a
		// restless one, it would explain away the first real fall after a quiet year.
		share := f.weight[b] * math.Min(1, m.restless)
		for i := s.from; i < s.to; i++ {
			row[i] += share * f.like[i]
		}
	}
	return added
}

// gaussRun gives exp(−z²/2) at equal steps of z, each from the one before.
type gaussRun struct{ value, factor, factor2 float64 }

func newGaussRun(z, step float64) gaussRun {
	return gaussRun{math.Exp(-0.5 * z * z), math.Exp(-step*z - 0.5*step*step), math.Exp(-step * step)}
}

func (g *gaussRun) next() float64 {
	v := g.value
	g.value *= g.factor
	g.factor *= g.factor2
	return v
}

// cover stretches the span of a row over s, with zeros where it held nothing.
func (f *filter) cover(r int, s span) {
	have := f.spans[r]
	all := have.with(s)
	row := f.cells[r*f.n : (r+1)*f.n]
	if have.empty() {
		clear(row[all.from:all.to])
	} else {
		clear(row[all.from:have.from])
		clear(row[have.to:all.to])
	}
	f.spans[r] = all
}

// blunderChance is the chance of the report if it is a gross error: a level of the right order of magnitude only.
func (f *filter) blunderChance(o Observation) float64 {
	mean, sd := f.mean, math.Sqrt(sq(f.grossSD)+f.variance)
	lo, hi := sharpened(o.Lo, o.Hi, o.SD)
	p := 0.0
	if hi > 0 {
		p = normalCDF((math.Log(hi/f.anchor) - mean) / sd)
	}
	if lo > 0 {
		p -= normalCDF((math.Log(lo/f.anchor) - mean) / sd)
	}
	return math.Max(p, 0)
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

// rippleReach is how many standard deviations of the wobble are looked at on either side.
const rippleReach = 2.6

// reportChances fills f.raw with the chance of the report at the level of every column of s and a margin on both sides,
// for a method as a member takes it. Half a cell of extra scatter stands for the width of the
// cells.
func (f *filter) reportChances(o Observation, m member, s span) {
	margin := f.margin()
	f.raw = sized(f.raw, s.to-s.from+2*margin)
	step := math.Exp(f.width)
	level := f.level(float64(f.lo + s.from - margin))
	r := f.marks.takes(o, m)
	for i := range f.raw {
		sd := math.Sqrt(sq(r.sdAt(level)) + sq(0.5*f.width*level))
		f.raw[i] = r.share * intervalChance((r.lo-level)/sd, (r.hi-level)/sd)
		level *= step
	}
}

// margin is how many cells the wobble of the widest member reaches.
func (f *filter) margin() int {
	widest := 0.0
	for _, m := range f.bank {
		widest = math.Max(widest, m.wobble)
	}
	return int(math.Ceil(rippleReach*widest*f.wobble/f.width)) + 4
}

// ahead is the wobble given the course, as it stands now: mean is pull·(seen − course).
func (f *filter) ahead(b int) (pull, seen, variance float64) {
	r := f.ripple[b]
	decay := math.Exp(-r.since / f.theta)
	return decay * r.gain, r.seen, sq(decay)*r.spread + sq(f.bank[b].wobble*f.wobble)*(1-sq(decay))
}

// smoothChances averages the chances of the report over the wobble, for the columns of s: f.smooth is the chance of the
// report for a level that wobbles about each.
func (f *filter) smoothChances(variance float64, s span) {
	margin := f.margin()
	// Half a cell of scatter is already in the chances; take it off the wobble again.
	sd := math.Sqrt(math.Max(variance-sq(0.5*f.width), sq(0.25*f.width))) / f.width
	kernel := f.gaussKernel(sd, margin-1)
	half := len(kernel) / 2
	f.smooth = sized(f.smooth, f.n)
	for i := s.from; i < s.to; i++ {
		sum := 0.0
		part := f.raw[i-s.from+margin-half:][:len(kernel)]
		for j, w := range kernel {
			sum += w * part[j]
		}
		f.smooth[i] = sum
	}
}

// expectedAt is the column at which the level is expected, for a hypothesis whose course now stands at each column of s. A
// course now at c stood at c − moved when the last reading was taken, and the wobble then seen has partly died away: the
// level is expected at c + pull·(seen − (c − moved)).
func (f *filter) expectedAt(k int, pull, seen float64, s span) []float64 {
	f.expect = sized(f.expect, f.n)
	days := f.ripple[0].since
	h := f.hyps[k]
	keep := 1 - pull
	if h.motion == absolute && days > 0 {
		target := pull * (seen/f.width - float64(f.lo))
		back := &f.curves.rise // a fall seen backwards
		if h.rate > 0 {
			back = &f.curves.fall
		}
		f.moved = sized(f.moved, f.n)
		back.over(s, f.amount(k, days)-float64(f.lo), f.moved)
		for i := s.from; i < s.to; i++ {
			f.expect[i] = keep*float64(i) + target - pull*f.moved[i]
		}
		return f.expect
	}
	target := f.expectedAtZero(k, pull, seen)
	for i := s.from; i < s.to; i++ {
		f.expect[i] = keep*float64(i) + target
	}
	return f.expect
}

// expectedAtZero is expectedAt for a still or relative course at column 0. From there it grows by 1−pull a column.
func (f *filter) expectedAtZero(k int, pull, seen float64) float64 {
	return pull * ((seen+f.hyps[k].rate*f.ripple[0].since)/f.width - float64(f.lo))
}

// courseChances is the chance of the report given the course, for a hypothesis at the columns of s, read off the smoothed
// table, which holds the columns all.
func (f *filter) courseChances(k int, pull, seen float64, s, all span) []float64 {
	f.like = sized(f.like, f.n)
	if f.hyps[k].motion == absolute {
		for i, at := range f.expectedAt(k, pull, seen, s)[s.from:s.to] {
			f.like[s.from+i] = between(f.smooth, at, all)
		}
		return f.like
	}
	keep, target := 1-pull, f.expectedAtZero(k, pull, seen)
	for i := s.from; i < s.to; i++ {
		f.like[i] = between(f.smooth, keep*float64(i)+target, all)
	}
	return f.like
}

// leastPull is the least memory of the wobble that is worth following.
const leastPull = 1e-3

// between interpolates in the columns s of a table; outside of s it takes the nearest.
func between(table []float64, at float64, s span) float64 {
	j := int(at)
	switch {
	case at <= float64(s.from):
		return table[s.from]
	case j >= s.to-1:
		return table[s.to-1]
	}
	part := at - float64(j)
	return (1-part)*table[j] + part*table[j+1]
}

// gaussKernel are the weights of a Gaussian of the given standard deviation in cells, at most reach cells to either side.
func (f *filter) gaussKernel(sd float64, reach int) []float64 {
	half := min(max(int(math.Ceil(rippleReach*sd)), 1), reach)
	f.kernel = sized(f.kernel, 2*half+1)
	g := newGaussRun(0, 1/sd)
	sum := 0.0
	for j := range half + 1 {
		w := g.next()
		f.kernel[half-j], f.kernel[half+j] = w, w
		sum += 2 * w
	}
	sum -= f.kernel[half]
	for j := range f.kernel {
		f.kernel[j] /= sum
	}
	return f.kernel
}

// seeRipple updates the wobble given the course: an ordinary Kalman filter on the logarithm, the report taken as its
// middle with the method's scatter and the width of the interval. A report with an open end, or one that is probably a
// gross error, says little about a wobble.
func (f *filter) seeRipple(b int, o Observation, gross float64) {
	pull, seen, variance := f.ahead(b)
	r := &f.ripple[b]
	r.since = 0
	r.gain, r.seen, r.spread = pull, seen, variance
	saw := f.marks.takes(o, f.bank[b])
	if math.IsInf(saw.lo, 0) || math.IsInf(saw.hi, 0) || !(saw.lo+saw.hi > 0) {
		return
	}
	middle := (saw.lo + saw.hi) / 2
	noise := (sq(saw.sd) + sq(saw.hi-saw.lo)/12) / sq(middle)
	k := (1 - gross) * variance / (variance + noise)
	r.gain = (1-k)*pull + k
	if r.gain > 0 {
		r.seen = ((1-k)*pull*seen + k*math.Log(middle/f.anchor)) / r.gain
	}
	r.spread = (1 - k) * variance
}
