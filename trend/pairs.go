package trend

import (
	"cmp"
	"slices"
)

// pairSlopes finds order statistics among the slopes (y[j]−y[i])/(t[j]−t[i]) of all pairs of readings at different
// times, without listing them, in O(n log n) expected time a rank. It serves Theil–Sen and, through the weights below,
// Akritas–Theil–Sen, so that the two cannot disagree where nothing is censored.
//
// Each pair enters with a weight: 2 where either reading can be seen to be the larger (both are numbers), 1 where only
// one of them can ("<0.02" and 0.05: never the first), 0 where neither can ("<0.02" and "<0.05"). The order statistics
// are those of the multiset in which each slope stands as often as its weight says: S(b) falls by one at each entry.
//
// How: sort the readings by y − b·t. A pair has changed places, compared with the order for b = −∞, exactly when its
// slope is below b; so a merge sort that counts inversions counts the slopes below b. A random sample of the slopes
// gives cuts close to each wanted rank from both sides; each cut is counted exactly; what lies between two cuts is
// sampled again, or, once it is no more than some multiple of n, listed by insertion sort, whose every exchange is one
// such pair. Chance decides only how long it takes, never the answer; the seed is fixed.
//
// How exact: the order at a cut is computed in floating point. Readings whose keys differ by less than their rounding
// are taken to lie on one line of that slope, and their pairs to equal the cut. That makes the mass of equal slopes,
// which quantised readings at regular times have, one step; and the answer is always a pair slope as computed from the
// readings, off by no more than the rounding of the keys.
//
// Reference: J. Matoušek, 1991, Randomized optimal algorithm for slope selection, Information Processing Letters 39,
// 183–187; the weights follow M. Akritas, S. Murphy, M. LaValley, 1995, The Theil-Sen estimator with doubly censored
// data, Journal of the American Statistical Association 90, 170–177.
type pairSlopes struct {
	t, y            []float64 // in order of t, then of y
	rays            []ray     // order for the slope −∞
	lowest, highest float64   // of y
	numbers         int       // readings that are numbers
	plain           bool      // all readings are: every weight is 2
	weight          int64     // of all pairs
	rises           int64     // pairs whose later reading can be seen to be the larger: S(−∞)
	pairs           int64     // pairs at different times with a weight
	merge           counter
}

// fewReadings is up to where all pairs are simply listed.
const fewReadings = 128

// newPairSlopes sorts the readings by time, then by value: "<" before a number, ">" after it. kind nil means that all
// are exact.
func newPairSlopes(t, y []float64, kind []Bound) *pairSlopes {
	n := len(t)
	p := &pairSlopes{t: make([]float64, n), y: make([]float64, n), rays: make([]ray, n)}
	order := make([]ray, n)
	for i := range order {
		tag := canBoth
		if kind != nil {
			tag = roles[kind[i]]
		}
		if tag == canBoth {
			p.numbers++
		}
		order[i] = ray{id: int32(i)<<2 | tag}
	}
	slices.SortStableFunc(order, func(a, b ray) int {
		i, j := a.id>>2, b.id>>2
		return cmp.Or(cmp.Compare(t[i], t[j]), cmp.Compare(y[i], y[j]), int(a.high()-a.low()-b.high()+b.low()))
	})
	for i, r := range order {
		p.t[i], p.y[i], p.rays[i] = t[r.id>>2], y[r.id>>2], ray{id: int32(i)<<2 | r.id&canBoth}
	}
	p.plain = p.numbers == n
	if n > 0 {
		p.lowest, p.highest = slices.Min(p.y), slices.Max(p.y)
	}
	p.countAll()
	return p
}

// countAll counts pairs and weights, from the readings so far and those at the same time.
func (p *pairSlopes) countAll() {
	// readings at earlier times that can be seen to be the smaller, the larger; exact ones count in both
	var low, high, n int64
	for from := 0; from < len(p.t); {
		to := from
		var l, h int64
		for ; to < len(p.t) && p.t[to] == p.t[from]; to++ {
			l += int64(p.rays[to].low())
			h += int64(p.rays[to].high())
		}
		p.rises += low * h
		p.weight += low*h + high*l
		// A pair has no weight where both are below, or both above, a limit.
		m := int64(to - from)
		p.pairs += n*m - (n-high)*(m-h) - (n-low)*(m-l)
		low, high, n = low+l, high+h, n+m
		from = to
	}
}

// slope of the pair.
func (p *pairSlopes) slope(i, j int32) float64 { return (p.y[j] - p.y[i]) / (p.t[j] - p.t[i]) }

// pick finds the wanted places in a list made by all or list.
func (p *pairSlopes) pick(slopes []float64, base int64, want []int64, found []float64) {
	if p.plain { // the list has each slope once instead of twice
		once := make([]int64, len(want))
		for i, w := range want {
			once[i] = w / 2
		}
		base, want = base/2, once
	}
	pick(slopes, base, want, found)
}

// all lists every slope as often as its weight says, or once where all weights are the same.
func (p *pairSlopes) all() []float64 {
	out := make([]float64, 0, p.pairs)
	for i, a := range p.rays {
		for j, b := range p.rays[i+1:] {
			if p.t[i+1+j] != p.t[i] {
				out = p.add(out, a, b)
			}
		}
	}
	return out
}

// add appends the slope of a pair as often as its weight says, or once where all weights are the same.
func (p *pairSlopes) add(list []float64, a, b ray) []float64 {
	s := p.slope(a.id>>2, b.id>>2)
	if p.plain {
		return append(list, s)
	}
	switch weight(a.id, b.id) {
	case 2:
		return append(list, s, s)
	case 1:
		return append(list, s)
	default:
		return list
	}
}
