package trend

import "math"

// levelSpread is the distribution of the true level, wobble and all, over cells.
type levelSpread struct {
	scale
	lo int
	p  []float64
}

// levelSpread adds up the courses of all hypotheses and puts the wobble about them. Only members for which keep is true
// are taken; nil takes all. It sums to the weight of those members.
func (f *filter) levelSpread(keep func(b int) bool) levelSpread {
	var all span
	for b := range f.bank {
		all = all.with(f.union(b))
	}
	margin := f.margin()
	out := levelSpread{scale: f.scale, lo: f.lo + all.from - margin - 1}
	n := all.to - all.from
	buf := make([]float64, 2*(n+2*margin+3))
	out.p = buf[:len(buf)/2]
	centre := buf[len(buf)/2:]
	for b := range f.bank {
		if keep != nil && !keep(b) {
			continue
		}
		clear(centre)
		pull, seen, variance := f.ahead(b)
		place := func(row []float64, k int, s span) {
			for i, at := range f.expectedAt(k, pull, seen, s)[s.from:s.to] {
				at = min(max(at-float64(all.from), 0), float64(n-1))
				j := int(at)
				part, p := at-float64(j), row[s.from+i]
				centre[j+margin+1] += (1 - part) * p
				centre[j+margin+2] += part * p
			}
		}
		if f.ripple[b].since == 0 || pull < leastPull { // the same is expected under every hypothesis
			s := f.union(b)
			place(f.summed(b, s), 0, s)
		} else {
			for k := range f.hyps {
				if row, s := f.row(b, k); !s.empty() {
					place(row, k, s)
				}
			}
		}
		kernel := f.gaussKernel(math.Sqrt(variance)/f.width, margin)
		half := len(kernel) / 2
		for i, p := range centre {
			if p < 1e-10 {
				continue
			}
			// centre is empty for a margin and a cell on either side
			o := out.p[i-half:][:len(kernel)]
			for j, w := range kernel {
				o[j] += w * p
			}
		}
	}
	return out
}

// summed adds up the rows of a member, whose union is s.
func (f *filter) summed(b int, s span) []float64 {
	f.sums = sized(f.sums, f.n)
	clear(f.sums[s.from:s.to])
	for k := range f.hyps {
		row, s := f.row(b, k)
		for i := s.from; i < s.to; i++ {
			f.sums[i] += row[i]
		}
	}
	return f.sums
}

// quantiles are the levels, in canonical units, below which the level lies with each of the given chances (ascending).
// Within a cell the probability is even.
func (s levelSpread) quantiles(chances ...float64) []float64 {
	total := 0.0
	for _, p := range s.p {
		total += p
	}
	out := make([]float64, 0, len(chances))
	sum := 0.0
	for i, p := range s.p {
		for len(out) < len(chances) && sum+p >= chances[len(out)]*total && p > 0 {
			within := (chances[len(out)]*total - sum) / p
			out = append(out, s.level(float64(s.lo+i)-0.5+within))
		}
		sum += p
	}
	for len(out) < len(chances) {
		out = append(out, s.level(float64(s.lo+len(s.p))))
	}
	return out
}

// trimmedMean is the mean level, in canonical units, over the part of the distribution between two of its quantiles.
func (s levelSpread) trimmedMean(low, high float64) float64 {
	total := 0.0
	for _, p := range s.p {
		total += p
	}
	low, high = low*total, high*total
	below, mass, sum := 0.0, 0.0, 0.0
	for i, p := range s.p {
		if part := math.Min(below+p, high) - math.Max(below, low); part > 0 {
			mass += part
			sum += part * s.level(float64(s.lo+i))
		}
		below += p
	}
	return sum / mass
}
