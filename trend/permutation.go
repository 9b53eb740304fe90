package trend

import "math"

// exactOneSideTied is the share of all orders of values in groups of the given sizes, over as many different times, whose
// |S| is at least |s|.
//
// S is the number of untied pairs less twice the number of inversions, and inversions of a multiset are distributed as the
// coefficients of the Gaussian multinomial [n]!/∏[k]!. That is built group by group from the Gaussian binomials
//
//	[m+k over k] = ∏_{i=1..k} (1−q^(m+i))/(1−q^i)
//
// as far as the tail reaches, in shares rather than counts. In the lower tail each coefficient is at least as large as
// those before it, so that the differences keep their digits.
func exactOneSideTied(sizes []int, s int64) float64 {
	if s == 0 {
		return 1
	}
	untied, m := 0, 0
	for _, k := range sizes {
		untied += m * k
		m += k
	}
	if s < 0 {
		s = -s
	}
	return min(2*inversionTail(sizes, (untied-int(s))/2), 1)
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

// exactByPlacing is the share of all orders of the readings over the times, in groups of the given sizes, whose |S| is at
// least |s|. Readings are placed group after group; what matters of those already placed is only how many of each class
// there are, and how S is distributed for each such set. There are at most 2^n sets.
func exactByPlacing(times []int, classes []class, s int64) float64 {
	n, states := 0, 1
	steps := make([]int, len(classes)) // of the state's number, for one more of a class
	for k, c := range classes {
		steps[k] = states
		states *= c.size + 1
		n += c.size
	}
	most := n * (n - 1) / 2
	width := 2*most + 1
	ways := make([]float64, states*width)
	ways[most] = 1
	group := make([]int, n+1) // size of the time group that begins when so many are placed; 0: none begins
	at := 0
	for _, g := range times {
		group[at] = g
		at += g
	}
	placed := make([]int, len(classes))
	gain := make([]int, len(classes)) // what one more of a class adds to S
	for state := range states - 1 {
		total := 0
		for k, c := range classes {
			placed[k] = state / steps[k] % (c.size + 1)
			total += placed[k]
		}
		if group[total] == 0 {
			continue
		}
		for k, c := range classes {
			gain[k] = 0
			for l, d := range classes {
				gain[k] += placed[l] * score(d.of, c.of)
			}
		}
		from := ways[state*width : (state+1)*width]
		var choose func(k, left, to, shift int, times float64)
		choose = func(k, left, to, shift int, times float64) {
			if left == 0 {
				add(ways[to*width:(to+1)*width], from, shift, times)
				return
			}
			if k == len(classes) {
				return
			}
			free := classes[k].size - placed[k]
			for c := 0; c <= min(free, left); c++ {
				choose(k+1, left-c, to+c*steps[k], shift+c*gain[k], times)
				times *= float64(free-c) / float64(c+1)
			}
		}
		choose(0, group[total], state, 0, 1)
	}
	last := ways[(states-1)*width:]
	var all, far float64
	for i, w := range last {
		all += w
		if d := int64(i - most); max(d, -d) >= max(s, -s) {
			far += w
		}
	}
	return far / all
}

// add adds times·from, shifted, to into.
func add(into, from []float64, shift int, times float64) {
	lo, hi := max(0, -shift), min(len(from), len(from)-shift)
	for i := lo; i < hi; i++ {
		into[i+shift] += times * from[i]
	}
}

// kendallTail is the chance that at most most of the n(n−1)/2 pair slopes of n readings at different times lie below the
// true slope.
func kendallTail(n, most int) float64 {
	ones := make([]int, n)
	for i := range ones {
		ones[i] = 1
	}
	return inversionTail(ones, most)
}

// twoSidedQuantile is z with a chance of level between −z and z.
func twoSidedQuantile(level float64) float64 { return math.Sqrt2 * math.Erfinv(level) }
