package trend

import "math"

// drift is what one step of a given length does to every hypothesis: the chances of beginning and ending, and the shift
// in cells.
type drift struct {
	days   float64
	begin  []float64 // chance of beginning, from stillness
	end    []float64 // chance of ending
	stay   float64   // chance that stillness goes on
	shift  []float64 // cells, for still and relative motion
	spread float64   // share of a cell's probability that creeps to each neighbour
}

func (f *filter) newDrift(days float64) *drift {
	k := len(f.hyps)
	buf := make([]float64, 3*k)
	d := &drift{days: days, begin: buf[:k], end: buf[k : 2*k], shift: buf[2*k:]}
	total := 0.0
	for _, h := range f.hyps {
		total += h.onset
	}
	d.stay = math.Exp(-total * days)
	for i, h := range f.hyps {
		if i > 0 {
			d.begin[i] = (1 - d.stay) * h.onset / total
			d.end[i] = 1 - math.Exp(-h.end*days)
		}
		if h.motion == relative {
			d.shift[i] = h.rate * days / f.width
		}
	}
	d.spread = math.Min(0.5*sq(f.creep)*days/sq(f.width), 0.3)
	return d
}

// reach is how many cells a step can carry probability down and up.
func (d *drift) reach(f *filter) (down, up int) {
	lowest, highest := 0.0, 0.0
	for k, h := range f.hyps {
		s := d.shift[k]
		if h.motion == absolute {
			s = d.fall(f, h.rate, f.levels[0])
		}
		lowest = math.Min(lowest, s)
		highest = math.Max(highest, s)
	}
	return int(math.Ceil(-lowest)) + 2, int(math.Ceil(highest)) + 2
}

// fall is the shift in cells of a constant amount per day (in floors) at a level given in floors. The last twentieth of
// a level is not taken: what is used up cannot be used further.
func (d *drift) fall(f *filter, rate, level float64) float64 {
	left := 1 + rate*d.days/level
	if left < 0.05 {
		left = 0.05
	}
	return math.Log(left) / f.width
}

// move carries the row of a hypothesis, and what begins with it, into the row out, whose first cell lies offset cells
// below the old first.
func (d *drift) move(f *filter, b, k int, out []float64, offset int) {
	row := f.row(b, k)
	rest := f.row(b, 0)
	a := d.spread
	h := f.hyps[k]
	switch h.motion {
	case still:
		arrive := f.sums
		for i, p := range row {
			v := d.stay*p + arrive[i]
			at := i + offset
			out[max(at-1, 0)] += a * v
			out[at] += (1 - 2*a) * v
			out[at+1] += a * v
		}
	case relative:
		w, whole := d.kernel(k)
		w0, w1, w2, w3 := w[0], w[1], w[2], w[3]
		from := offset + whole
		keep, begin := 1-d.end[k], d.begin[k]
		for i, p := range row {
			v := keep*p + begin*rest[i]
			at := from + i
			if at < 1 {
				out[0] += v
				continue
			}
			o := out[at-1 : at+3 : at+3]
			o[0] += w0 * v
			o[1] += w1 * v
			o[2] += w2 * v
			o[3] += w3 * v
		}
	case absolute:
		keep, begin := 1-d.end[k], d.begin[k]
		for i, p := range row {
			v := keep*p + begin*rest[i]
			if v < 1e-14 {
				continue
			}
			to := float64(i+offset) + d.fall(f, h.rate, f.levels[i])
			if to < 0 {
				out[0] += v
				continue
			}
			at := int(to)
			part := to - float64(at)
			out[at] += (1 - part) * v
			out[at+1] += part * v
		}
	}
}

// kernel is what a step does to the probability of a cell under a still or relative hypothesis: it goes to the four cells
// from whole−1 to whole+2 away, by linear interpolation between two cells and the creep to both sides.
func (d *drift) kernel(k int) (w [4]float64, whole int) {
	floor := math.Floor(d.shift[k])
	part := d.shift[k] - floor
	a := d.spread
	return [4]float64{a * (1 - part), (1-2*a)*(1-part) + a*part, a*(1-part) + (1-2*a)*part, a * part}, int(floor)
}
