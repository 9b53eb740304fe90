package trend

import "math"

// drift is what one step of a given length does to every hypothesis: the chances of beginning and ending, and the shift
// in cells.
type drift struct {
	days   float64
	share  []float64 // of each hypothesis among what begins
	end    []float64 // chance of ending
	stay   []float64 // chance that stillness goes on, per member
	shift  []float64 // cells, for still and relative motion
	amount []float64 // for absolute motion: the cell of the level that equals what is moved in the step
	spread float64   // share of a cell's probability that creeps to each neighbour

	lo, n int     // the table for which aims holds
	aims  [][]aim // of every column of that table, for absolute motion
}

// aim is where a column is moved to: at and the next one, with shares 1−part and part.
type aim struct {
	at   int
	part float64
}

// driftOf is the drift of a step of some days; the last one is kept.
func (f *filter) driftOf(days float64) *drift {
	d := f.drift
	if d == nil {
		k := len(f.hyps)
		d = &drift{
			share: make([]float64, k), stay: make([]float64, len(f.bank)), end: make([]float64, k),
			shift: make([]float64, k), amount: make([]float64, k), days: -1,
		}
		f.drift = d
	}
	if d.days == days {
		return d
	}
	d.days = days
	total := 0.0
	for _, h := range f.hyps {
		total += h.onset
	}
	for b, m := range f.bank {
		d.stay[b] = math.Exp(-total * m.restless * days)
	}
	for k, h := range f.hyps {
		if k > 0 {
			d.share[k] = h.onset / total
			d.end[k] = 1 - math.Exp(-h.end*days)
		}
		switch h.motion {
		case relative:
			d.shift[k] = h.rate * days / f.width
		case absolute:
			d.amount[k] = f.amount(k, days)
		}
	}
	d.spread = math.Min(0.5*sq(f.creep)*days/sq(f.width), 0.3)
	d.n = 0
	return d
}

// aim works out where every column of the table goes under each constant amount, whose shift differs from column to
// column. What would leave the table goes to its outermost columns.
func (f *filter) aim(d *drift) {
	if d.n == f.n && d.lo == f.lo {
		return
	}
	d.lo, d.n = f.lo, f.n
	if d.aims == nil {
		d.aims = make([][]aim, len(f.hyps))
	}
	for k, h := range f.hyps {
		if h.motion != absolute {
			continue
		}
		shifts := f.shifts(k, d.amount[k], span{0, f.n})
		d.aims[k] = sized(d.aims[k], f.n)
		for i, shift := range shifts {
			at := min(max(float64(i)+shift, 0), float64(f.n-1))
			j := min(int(at), f.n-2)
			d.aims[k][i] = aim{j, at - float64(j)}
		}
	}
}

// amount is the cell of the level that a constant-amount hypothesis moves in some days.
func (f *filter) amount(k int, days float64) float64 {
	return math.Log(math.Abs(f.hyps[k].rate)*days) / f.width
}

// shifts fills f.moved with how far, in cells, the constant amount of hypothesis k moves the columns of s.
func (f *filter) shifts(k int, amount float64, s span) []float64 {
	f.moved = sized(f.moved, f.n)
	f.curveOf(k).over(s, amount-float64(f.lo), f.moved)
	return f.moved
}

// curveOf is the curve of a constant-amount hypothesis.
func (f *filter) curveOf(k int) *curve {
	if f.hyps[k].rate > 0 {
		return &f.curves.rise
	}
	return &f.curves.fall
}

// kernel is what a step does to the probability of a cell under a still or relative hypothesis: it goes to the four cells
// from whole−1 to whole+2 away, by linear interpolation between two cells and the creep to both sides.
func (d *drift) kernel(k int) (w [4]float64, whole int) {
	floor := math.Floor(d.shift[k])
	part := d.shift[k] - floor
	a := d.spread
	return [4]float64{a * (1 - part), (1-2*a)*(1-part) + a*part, a*(1-part) + (1-2*a)*part, a * part}, int(floor)
}

// step moves the belief on by one short stretch: courses begin and end, then move, then creep.
func (f *filter) step(days float64) {
	d := f.driftOf(days)
	f.aim(d)
	f.source = sized(f.source, f.n+6)
	f.arrive = sized(f.arrive, f.n)
	if f.floored {
		f.settle(days)
	}
	for b := range f.bank {
		arriving := f.comeToRest(b, d)
		rest, resting := f.row(b, 0)
		peak := peakOf(rest, resting)
		for k := range f.hyps {
			// source[3+i] is what column i sends on; three zeros stand on either side of it
			var s span
			if k == 0 {
				s = mix(f.source, f.arrive, arriving, 1, rest, resting, d.stay[b])
			} else {
				row, own := f.row(b, k)
				begins := d.share[k] * (1 - d.stay[b])
				if own.empty() && peak*begins < tinyCell {
					f.others[b*len(f.hyps)+k] = span{} // mix would drop all of it
					continue
				}
				s = mix(f.source, row, own, 1-d.end[k], rest, resting, begins)
			}
			r := b*len(f.hyps) + k
			f.others[r] = f.send(d, k, s, f.spare[r*f.n:(r+1)*f.n])
		}
	}
	f.cells, f.spare = f.spare, f.cells
	f.spans, f.others = f.others, f.spans
}

// peakOf is the largest probability in the span of a row.
func peakOf(row []float64, s span) float64 {
	peak := 0.0
	if !s.empty() {
		for _, p := range row[s.from:s.to] {
			peak = max(peak, p)
		}
	}
	return peak
}

// comeToRest sums into f.arrive what comes to rest during the step.
func (f *filter) comeToRest(b int, d *drift) span {
	var u span
	for k := 1; k < len(f.hyps); k++ {
		u = u.with(f.spans[b*len(f.hyps)+k])
	}
	if u.empty() {
		return u
	}
	clear(f.arrive[u.from:u.to])
	for k := 1; k < len(f.hyps); k++ {
		row, s := f.row(b, k)
		if s.empty() {
			continue
		}
		end := d.end[k]
		out := f.arrive[s.from:s.to]
		for i, p := range row[s.from:s.to] {
			out[i] += end * p
		}
	}
	return u
}

// mix puts wx·x + wy·y into source, three places on, and returns where it holds anything to speak of. On either side of
// that stand three zeros.
func mix(source, x []float64, xs span, wx float64, y []float64, ys span, wy float64) span {
	u := xs.with(ys)
	if u.empty() {
		return u
	}
	out := source[3:]
	both := span{max(xs.from, ys.from), min(xs.to, ys.to)}
	if both.empty() {
		clear(out[u.from:u.to])
		scaled(out, x, xs, wx)
		scaled(out, y, ys, wy)
	} else {
		scaled(out, x, span{xs.from, both.from}, wx)
		scaled(out, y, span{ys.from, both.from}, wy)
		o, p, q := out[both.from:both.to], x[both.from:both.to], y[both.from:both.to]
		for i := range o {
			o[i] = wx*p[i] + wy*q[i]
		}
		scaled(out, x, span{both.to, xs.to}, wx)
		scaled(out, y, span{both.to, ys.to}, wy)
	}
	for u.from < u.to && out[u.from] < tinyCell {
		u.from++
	}
	for u.to > u.from && out[u.to-1] < tinyCell {
		u.to--
	}
	clear(source[u.from : u.from+3])
	clear(source[u.to+3 : u.to+6])
	return u
}

// scaled puts w·x into out at the columns of s.
func scaled(out, x []float64, s span, w float64) {
	if s.empty() {
		return
	}
	o := out[s.from:s.to]
	for i, p := range x[s.from:s.to] {
		o[i] = w * p
	}
}

// send moves what is in source by a hypothesis' motion into the row out, and returns where it arrived. What would leave
// the table stays in its outermost columns.
func (f *filter) send(d *drift, k int, s span, out []float64) span {
	if s.empty() {
		return s
	}
	if f.hyps[k].motion == absolute {
		return f.sendFalling(d.aims[k], s, out)
	}
	w, whole := d.kernel(k)
	reach := span{s.from + whole - 1, s.to + whole + 2}
	to := span{max(reach.from, 0), min(reach.to, f.n)}
	if to.empty() {
		to.from = min(max(reach.from, 0), f.n-1)
		to.to = to.from + 1
		out[to.from] = 0
	} else {
		// source of column j: j−whole+1 gives w0, …, j−whole−2 gives w3
		src := f.source[3+to.from-whole-2 : 3+to.to-whole+1]
		dst := out[to.from:to.to]
		for j := range dst {
			q := src[j : j+4 : j+4]
			dst[j] = w[3]*q[0] + w[2]*q[1] + w[1]*q[2] + w[0]*q[3]
		}
	}
	f.clip(w, whole, s, out)
	return to
}

// clip adds to the outermost columns of out what send would move beyond them.
func (f *filter) clip(w [4]float64, whole int, s span, out []float64) {
	for i := s.from; i < s.to && i+whole-1 < 0; i++ {
		for j := 0; j < len(w) && i+whole-1+j < 0; j++ {
			out[0] += w[j] * f.source[3+i]
		}
	}
	for i := s.to - 1; i >= s.from && i+whole+2 >= f.n; i-- {
		for j := len(w) - 1; j >= 0 && i+whole-1+j >= f.n; j-- {
			out[f.n-1] += w[j] * f.source[3+i]
		}
	}
}

// sendFalling is send for a constant amount per day.
func (f *filter) sendFalling(aims []aim, s span, out []float64) span {
	to := span{aims[s.from].at, aims[s.to-1].at + 2}
	clear(out[to.from:to.to])
	source := f.source[3+s.from : 3+s.to]
	for i, a := range aims[s.from:s.to] {
		v := source[i]
		out[a.at] += (1 - a.part) * v
		out[a.at+1] += a.part * v
	}
	return to
}

// settle is what happens under the floor besides: falls come to rest, since where next to nothing is left uptake comes to
// an end, and some courses at rest are brought up again by a keeper who has noticed.
func (f *filter) settle(days float64) {
	low := int(-2*f.wobble/f.width) - f.lo
	sink, lift := 1-math.Exp(-f.sink*days), 1-math.Exp(-f.lift*days)
	risen := f.fastestRise
	for b := range f.bank {
		u := f.union(b)
		u.to = min(u.to, low)
		if u.empty() {
			continue
		}
		f.cover(b*len(f.hyps), u)
		f.cover(b*len(f.hyps)+risen, u)
		rest, _ := f.row(b, 0)
		rise, _ := f.row(b, risen)
		for i := u.from; i < u.to; i++ {
			rise[i] += lift * rest[i]
			rest[i] *= 1 - lift
		}
		for k, h := range f.hyps {
			if h.rate >= 0 {
				continue
			}
			row, s := f.row(b, k)
			for i := s.from; i < min(s.to, low); i++ {
				rest[i] += sink * row[i]
				row[i] *= 1 - sink
			}
		}
	}
}
