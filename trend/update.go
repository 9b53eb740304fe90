package trend

import "math"

// update sharpens the belief by one reading taken at the belief's own moment. It returns how likely it is that the
// reading is a gross error, given all there is.
//
// The chance of a report at a level is that of the method's Gaussian error falling into the report's interval, so a
// coarse step, a scale mark, "<" and ">" are all treated alike and exactly. A gross error is the second part of a
// two-part mixture: with chance model.gross the report has nothing to do with the level but its order of magnitude. So a
// blunder is given less weight the less it fits, and is neither believed nor deleted.
func (f *filter) update(o Observation) float64 {
	if f.n == 0 {
		f.start(o)
	}
	f.allowJump(o)
	blunder := f.gross * f.blunderChance(o)
	f.sums = sized(f.sums, f.n)
	clear(f.sums)
	total, grossly := 0.0, 0.0
	lastSpread := math.NaN()
	for b, m := range f.bank {
		if m.spread != lastSpread {
			f.reportChances(o, m.spread)
			lastSpread = m.spread
		}
		like := f.courseChances(b)
		before := 0.0
		for k := range f.hyps {
			for i, p := range f.row(b, k) {
				before += p
				p *= blunder + (1-f.gross)*like[i]
				f.row(b, k)[i] = p
				f.sums[i] += p
				total += p
			}
		}
		grossly += before * blunder
	}
	gross := grossly / total
	if !(total > 0) { // nothing believed can have given this reading, and no blunder either
		f.n = 0
		f.start(o)
		return 1
	}
	f.normalise(total)
	for b, m := range f.bank {
		f.seeRipple(b, o, m.spread, gross)
	}
	return gross
}

// courseShare is the least share of probability for which an outer cell is kept.
const courseShare = 1e-6

// normalise makes the table sum to one and drops the outermost cells that hold next to nothing.
func (f *filter) normalise(total float64) {
	first, last := 0, f.n-1
	for first < last && f.sums[first] < courseShare*total {
		first++
	}
	for last > first && f.sums[last] < courseShare*total {
		last--
	}
	first = max(min(first, last+1-leastCells), 0)
	last = min(max(last, first+leastCells-1), f.n-1)
	for b := range f.bank {
		for k := range f.hyps {
			row := f.row(b, k)
			for i := first; i <= last; i++ {
				row[i-first] = row[i] / total
			}
		}
	}
	f.lo, f.n = f.lo+first, last-first+1
	f.relevel()
}

// allowJump leaves a small chance that the level was moved by something that nobody wrote down, to wherever the reading
// points. It widens the table to hold what the reading speaks of.
func (f *filter) allowJump(o Observation) {
	days := 1.0
	if len(f.ripple) > 0 {
		days = f.ripple[0].since
	}
	chance := 1 - math.Exp(-f.jump*days)
	if chance <= 0 {
		return
	}
	mean, _ := f.moments()
	lo, n := f.reach(o)
	f.widen(lo, n)
	for b := range f.bank {
		held := 0.0
		for k := range f.hyps {
			for _, p := range f.row(b, k) {
				held += p
			}
		}
		scale := chance * held * f.width / (f.jumpSD * math.Sqrt(2*math.Pi))
		row := f.row(b, 0)
		for i := max(lo-f.lo, 0); i < min(lo+n-f.lo, f.n); i++ {
			z := (f.logLevel(float64(f.lo+i)) - mean) / f.jumpSD
			if z*z < 60 {
				row[i] += scale * math.Exp(-0.5*z*z)
			}
		}
	}
}

// widen makes room for the cells lo … lo+n−1 as well.
func (f *filter) widen(lo, n int) {
	newLo := min(lo, f.lo)
	newN := max(lo+n, f.lo+f.n) - newLo
	if newLo == f.lo && newN == f.n {
		return
	}
	room := f.stride
	if newN > room {
		room = newN + newN/2
	}
	rows := len(f.bank) * len(f.hyps)
	f.spare = sized(f.spare, rows*room)
	clear(f.spare)
	for r := range rows {
		copy(f.spare[r*room+f.lo-newLo:], f.cells[r*f.stride:r*f.stride+f.n])
	}
	f.cells, f.spare = f.spare, f.cells
	f.lo, f.n, f.stride = newLo, newN, room
	f.relevel()
}

// moments are mean and variance of the course's logarithm.
func (f *filter) moments() (mean, variance float64) {
	sum, sumSq, mass := 0.0, 0.0, 0.0
	for b := range f.bank {
		for k := range f.hyps {
			for i, p := range f.row(b, k) {
				x := float64(i)
				mass += p
				sum += p * x
				sumSq += p * x * x
			}
		}
	}
	mean = sum / mass
	variance = sumSq/mass - mean*mean
	return f.logLevel(float64(f.lo) + mean), math.Max(variance, 0) * sq(f.width)
}

// blunderChance is the chance of the report if it is a gross error: a level of the right order of magnitude only.
func (f *filter) blunderChance(o Observation) float64 {
	mean, variance := f.moments()
	sd := math.Sqrt(sq(f.grossSD) + variance)
	lo, hi := sharpened(o, o.SD)
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
func sharpened(o Observation, sd float64) (lo, hi float64) {
	lo, hi = o.Lo, o.Hi
	if least := 0.02 * sd; hi-lo < least {
		mid := (lo + hi) / 2
		lo, hi = mid-least/2, mid+least/2
	}
	return lo, hi
}

// rippleReach is how many standard deviations of the wobble are looked at on either side.
const rippleReach = 2.6

// reportChances fills f.raw with the chance of the report at every level of the table and a margin on both sides, for a
// method that scatters spread times what was said of it. Half a cell of extra scatter stands for the width of the cells.
func (f *filter) reportChances(o Observation, spread float64) {
	margin := f.margin()
	f.raw = sized(f.raw, f.n+2*margin)
	step := math.Exp(f.width)
	level := f.level(float64(f.lo - margin))
	lo, hi := sharpened(o, o.SD)
	sd2 := sq(o.SD * spread)
	for i := range f.raw {
		s := math.Sqrt(sd2 + sq(0.5*f.width*level))
		f.raw[i] = intervalChance((lo-level)/s, (hi-level)/s)
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

// courseChances turns the chance of the report given the level into that given the course, by averaging over the wobble.
func (f *filter) courseChances(b int) []float64 {
	pull, seen, variance := f.ahead(b)
	margin := f.margin()
	// Half a cell of scatter is already in the chances; take it off the wobble again.
	sd := math.Sqrt(math.Max(variance-sq(0.5*f.width), sq(0.25*f.width))) / f.width
	kernel := f.gaussKernel(sd, margin-1)
	half := len(kernel) / 2
	f.smooth = sized(f.smooth, f.n)
	for i := range f.smooth {
		sum := 0.0
		part := f.raw[i+margin-half:][:len(kernel)]
		for j, w := range kernel {
			sum += w * part[j]
		}
		f.smooth[i] = sum
	}
	if pull < 1e-6 {
		return f.smooth
	}
	// A course c is seen at (1−pull)·c + pull·seen: interpolate in the smoothed table.
	f.like = sized(f.like, f.n)
	target := (seen/f.width - float64(f.lo)) * pull
	for i := range f.like {
		at := math.Min(math.Max((1-pull)*float64(i)+target, 0), float64(f.n-1))
		j := min(int(at), f.n-2)
		part := at - float64(j)
		f.like[i] = (1-part)*f.smooth[j] + part*f.smooth[j+1]
	}
	return f.like
}

// gaussKernel are the weights of a Gaussian of the given standard deviation in cells, at most reach cells to either side.
func (f *filter) gaussKernel(sd float64, reach int) []float64 {
	half := min(max(int(math.Ceil(rippleReach*sd)), 1), reach)
	f.kernel = sized(f.kernel, 2*half+1)
	sum := 0.0
	for j := range f.kernel {
		f.kernel[j] = math.Exp(-0.5 * sq(float64(j-half)/sd))
		sum += f.kernel[j]
	}
	for j := range f.kernel {
		f.kernel[j] /= sum
	}
	return f.kernel
}

// seeRipple updates the wobble given the course: an ordinary Kalman filter on the logarithm, the report taken as its
// middle with the method's scatter and the width of the interval. A report with an open end, or one that is probably a
// gross error, says little about a wobble.
func (f *filter) seeRipple(b int, o Observation, spread, gross float64) {
	pull, seen, variance := f.ahead(b)
	r := &f.ripple[b]
	r.since = 0
	r.gain, r.seen, r.spread = pull, seen, variance
	if math.IsInf(o.Lo, 0) || math.IsInf(o.Hi, 0) || !(o.Lo+o.Hi > 0) {
		return
	}
	middle := (o.Lo + o.Hi) / 2
	noise := (sq(o.SD*spread) + sq(o.Hi-o.Lo)/12) / sq(middle)
	k := (1 - gross) * variance / (variance + noise)
	r.gain = (1-k)*pull + k
	if r.gain > 0 {
		r.seen = ((1-k)*pull*seen + k*math.Log(middle/f.anchor)) / r.gain
	}
	r.spread = (1 - k) * variance
}
