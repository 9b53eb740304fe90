package trend

import "math"

// exactByInversions is the share of all orders of values in groups of the given sizes, over as many different times,
// whose |S| is at least |s|.
//
// S is the number of untied pairs less twice the number of inversions, and inversions of a multiset are distributed as
// the coefficients of the Gaussian multinomial [n]!/∏[k]!. That is built group by group from the Gaussian binomials
//
//	[m+k over k] = ∏_{i=1..k} (1−q^(m+i))/(1−q^i)
//
// as far as the tail reaches, in shares rather than counts. In the lower tail each coefficient is at least as large as
// those before it, so that the differences keep their digits.
func exactByInversions(sizes []int, s int64) float64 {
	if s == 0 {
		return 1
	}
	untied, m := 0, 0
	for _, k := range sizes {
		untied += m * k
		m += k
	}
	return min(2*inversionTail(sizes, (untied-int(max(s, -s)))/2), 1)
}

// inversionTail is the chance of at most most inversions in a random order of a multiset.
func inversionTail(sizes []int, most int) float64 {
	if most < 0 {
		return 0
	}
	f, g := make([]float64, most+1), make([]float64, most+1)
	f[0] = 1
	m, reach := 0, 0 // reach: the largest number of inversions so far
	for _, k := range sizes {
		for i := 1; i <= k; i++ {
			share := float64(i) / float64(m+i)
			reach = min(reach+m, most)
			for q := 0; q <= reach; q++ {
				v := f[q] * share
				if q >= i {
					v += g[q-i]
				}
				if q >= m+i {
					v -= f[q-m-i] * share
				}
				g[q] = max(v, 0)
			}
			f, g = g, f
		}
		m += k
	}
	sum := 0.0
	for _, v := range f {
		sum += v
	}
	return sum
}

// twoSidedQuantile is z with a chance of level between −z and z.
func twoSidedQuantile(level float64) float64 { return math.Sqrt2 * math.Erfinv(level) }

// class is a set of readings that no comparison tells apart.
type class struct {
	size int
	of   ray // one of them
}

// classes are the classes of the readings.
func (a *tally) classes() []class {
	var out []class
	for i, r := range a.sorted {
		if i > 0 && r.key == a.sorted[i-1].key && r.id&canBoth == a.sorted[i-1].id&canBoth {
			out[len(out)-1].size++
			continue
		}
		out = append(out, class{1, r})
	}
	return out
}

// timeClasses are the classes of the times.
func timeClasses(sizes []int) []class {
	out := make([]class, len(sizes))
	for i, k := range sizes {
		out[i] = class{k, ray{key: float64(i), id: canBoth}}
	}
	return out
}

// score is +1 where a is certainly smaller than b, −1 where it is certainly larger, else 0.
func score(a, b ray) int {
	switch {
	case a.key < b.key:
		return int(a.low() * b.high())
	case a.key > b.key:
		return -int(a.high() * b.low())
	default:
		return 0
	}
}

// exactByPlacing is the share of all orders of the readings over the times, in groups of the given sizes, whose |S| is
// at least |s|. Readings are placed group after group; what matters of those already placed is only how many of each
// class there are, and how S is distributed for each such set. There are at most 2^n sets.
func exactByPlacing(times []int, classes []class, s int64) float64 {
	p := placing{classes: classes, steps: make([]int, len(classes)), placed: make([]int, len(classes)),
		gain: make([]int, len(classes))}
	n, sets := 0, 1
	for k, c := range classes {
		p.steps[k] = sets
		sets *= c.size + 1
		n += c.size
	}
	most := n * (n - 1) / 2
	p.ways = make([][]float64, sets)
	p.ways[0] = make([]float64, 2*most+1)
	p.ways[0][most] = 1
	begins := make([]int, n+1) // size of the time group that begins when so many are placed
	at := 0
	for _, g := range times {
		begins[at] = g
		at += g
	}
	for set := range sets - 1 { // more placed is a larger number
		if p.ways[set] != nil {
			p.place(0, begins[p.open(set)], set, 0, 1)
		}
	}
	var all, far float64
	for i, w := range p.ways[sets-1] {
		all += w
		if d := int64(i - most); max(d, -d) >= max(s, -s) {
			far += w
		}
	}
	return far / all
}

// placing is a walk over the sets of readings already placed.
type placing struct {
	classes []class
	steps   []int       // of the set's number, for one more of a class
	ways    [][]float64 // for each set, in how many ways S is −most..most; nil where no time group ends with the set
	from    []float64   // those of the set at hand
	placed  []int       // of the set at hand, readings of each class
	gain    []int       // what one more of a class adds to S
}

// open makes a set the one at hand, and returns how many readings it has.
func (p *placing) open(set int) (total int) {
	p.from = p.ways[set]
	for k, c := range p.classes {
		p.placed[k] = set / p.steps[k] % (c.size + 1)
		total += p.placed[k]
	}
	for k, c := range p.classes {
		p.gain[k] = 0
		for l, d := range p.classes {
			p.gain[k] += p.placed[l] * score(d.of, c.of)
		}
	}
	return total
}

// place goes through all ways to fill a time group with left more readings of the classes from k on, which leads to the
// set to, adds gain to S, and can be done in times ways.
func (p *placing) place(k, left, to, gain int, times float64) {
	switch {
	case left == 0:
		if p.ways[to] == nil {
			p.ways[to] = make([]float64, len(p.from))
		}
		for i, w := range p.from {
			if w > 0 {
				p.ways[to][i+gain] += times * w
			}
		}
	case k < len(p.classes):
		free := p.classes[k].size - p.placed[k]
		for c := 0; c <= min(free, left); c++ {
			p.place(k+1, left-c, to+c*p.steps[k], gain+c*p.gain[k], times)
			times *= float64(free-c) / float64(c+1)
		}
	}
}
