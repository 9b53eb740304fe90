package trend

import (
	"math"
	"math/rand/v2"
	"slices"
)

// pairSlopes finds order statistics among the slopes (y[j]−y[i])/(t[j]−t[i]) of all pairs of readings at different
// times, without listing them, in O(n log n) expected time a rank. It serves Theil–Sen and, through the weights below,
// Akritas–Theil–Sen, so that the two cannot disagree where nothing is censored.
//
// Each pair enters with a weight: 2 where either reading can be seen to be the larger (both are numbers), 1 where only one
// of them can ("<0.02" and 0.05: never the first), 0 where neither can ("<0.02" and "<0.05"). The order statistics are
// those of the multiset in which each slope stands as often as its weight says: S(b) falls by one at each entry.
//
// How: sort the readings by y − b·t. A pair has changed places, compared with the order for b = −∞, exactly when its slope
// is below b; so a merge sort that counts inversions counts the slopes below b. A random sample of the slopes gives cuts
// close to each wanted rank from both sides; each cut is counted exactly; what lies between two cuts is sampled again, or,
// once it is no more than some multiple of n, listed by insertion sort, whose every exchange is one such pair. Chance
// decides only how long it takes, never the answer; the seed is fixed.
//
// How exact: the order at a cut is computed in floating point. Readings whose keys differ by less than their rounding are
// taken to lie on one line of that slope, and their pairs to equal the cut. That makes the mass of equal slopes, which
// quantised readings at regular times have, one step; and the answer is always a pair slope as computed from the
// readings, off by no more than the rounding of the keys.
//
// Reference: J. Matoušek, 1991, Randomized optimal algorithm for slope selection, Information Processing Letters 39,
// 183–187; the weights follow M. Akritas, S. Murphy, M. LaValley, 1995, The Theil-Sen estimator with doubly censored data,
// Journal of the American Statistical Association 90, 170–177.
type pairSlopes struct {
	t, y            []float64 // in order of t, then of y
	rays            []ray     // order for the slope −∞
	lowest, highest float64   // of y
	plain           bool      // all readings are numbers: every weight is 2
	free            [][]ray   // orders no longer needed
	weight          int64     // of all pairs
	rises           int64     // pairs whose later reading can be seen to be the larger: S(−∞)
	pairs           int64     // pairs at different times with a weight
	merge           counter
}

// fewReadings is up to where all pairs are simply listed.
const fewReadings = 128

// newPairSlopes sorts the readings by time, then by value. kind nil means that all are exact.
func newPairSlopes(t, y []float64, kind []Bound) *pairSlopes {
	n := len(t)
	p := &pairSlopes{t: make([]float64, n), y: make([]float64, n), rays: make([]ray, n), plain: true}
	order := timeOrder(t, y, kind)
	for i := range p.t {
		at := i
		if order != nil {
			at = int(order[i])
		}
		p.t[i], p.y[i] = t[at], y[at]
		tag := canBoth
		if kind != nil {
			tag = role(kind[at])
			p.plain = p.plain && tag == canBoth
		}
		p.rays[i] = ray{id: int32(i)<<2 | tag}
	}
	if n > 0 {
		p.lowest, p.highest = slices.Min(p.y), slices.Max(p.y)
	}
	p.countAll()
	return p
}

// timeOrder is the order by time, then by place, as indices; nil where the readings have it already.
func timeOrder(t, y []float64, kind []Bound) []int32 {
	less := func(a, b int32) int {
		switch {
		case t[a] < t[b]:
			return -1
		case t[a] > t[b]:
			return 1
		case y[a] < y[b]:
			return -1
		case y[a] > y[b]:
			return 1
		case kind != nil:
			return place(kind[a]) - place(kind[b])
		}
		return 0
	}
	sorted := true
	for i := 1; i < len(t) && sorted; i++ {
		sorted = less(int32(i-1), int32(i)) <= 0
	}
	if sorted {
		return nil
	}
	order := make([]int32, len(t))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortStableFunc(order, less)
	return order
}

// place orders readings of the same value: below a limit comes before it, above a limit after it.
func place(b Bound) int {
	switch b {
	case Below:
		return -1
	case Above:
		return 1
	default:
		return 0
	}
}

// countAll counts pairs and weights, from the readings so far and those at the same time.
func (p *pairSlopes) countAll() {
	var low, high, n int64 // readings at earlier times that can be seen to be the smaller, the larger; exact ones count in both
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

// at returns the slopes at the given places, counted from 0, in the sorted multiset. Places must lie in [0, weight).
func (p *pairSlopes) at(places []int64) []float64 {
	if len(places) == 0 || len(p.t) > fewReadings {
		return p.bySearch(places)
	}
	want, found := wanted(places)
	p.pick(p.all(), 0, want, found)
	return spread(places, want, found)
}

func (p *pairSlopes) bySearch(places []int64) []float64 {
	want, found := wanted(places)
	p.merge = counter{spare: make([]ray, len(p.t)), random: rand.New(rand.NewPCG(1, 2))}
	last := slices.Clone(p.rays)
	p.backInTime(last)
	p.merge.sort(last)
	p.search(p.rays, last, 0, p.weight, want, found)
	return spread(places, want, found)
}

// wanted are the places in order, each once, with room for what is found there.
func wanted(places []int64) (want []int64, found []float64) {
	want = slices.Clone(places)
	slices.Sort(want)
	want = slices.Compact(want)
	return want, make([]float64, len(want))
}

// spread gives each place what was found there.
func spread(places, want []int64, found []float64) []float64 {
	out := make([]float64, len(places))
	for i, at := range places {
		k, _ := slices.BinarySearch(want, at)
		out[i] = found[k]
	}
	return out
}

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
	if p.plain {
		out := make([]float64, 0, p.pairs)
		for i := range p.t {
			t0, y0 := p.t[i], p.y[i]
			for j, t := range p.t[i+1:] {
				if t != t0 {
					out = append(out, (p.y[i+1+j]-y0)/(t-t0))
				}
			}
		}
		return out
	}
	out := make([]float64, 0, p.weight)
	for i := range p.t {
		for j := i + 1; j < len(p.t); j++ {
			if p.t[j] != p.t[i] {
				out = p.add(out, p.rays[i], p.rays[j])
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

// search finds the wanted places among the slopes between those that led to the orders from and to. There are inside of
// them, by weight, and base below them.
func (p *pairSlopes) search(from, to []ray, base, inside int64, want []int64, found []float64) {
	if len(want) == 0 {
		return
	}
	if inside <= listed(len(p.t)) {
		p.pick(p.list(from, to, inside), base, want, found)
		return
	}
	owned := false // from is the caller's
	for _, cut := range cuts(p.sample(from, to, inside), base, inside, want) {
		order, lines, below := p.sweep(from, cut)
		below = min(below, inside) // rounding may count a pair of slope to as below it
		k, _ := slices.BinarySearch(want, base+below)
		p.search(from, order, base, below, want[:k], found[:k])
		want, found = want[k:], found[k:]
		equal := p.cross(order, lines)
		for len(want) > 0 && want[0] < base+below+equal {
			found[0] = cut
			want, found = want[1:], found[1:]
		}
		if len(want) == 0 {
			return
		}
		if owned {
			p.release(from)
		}
		from, owned, base, inside = order, true, base+below+equal, inside-below-equal
	}
	p.search(from, to, base, inside, want, found)
}

// listed is how many slopes are listed rather than sampled; sampled is how many are drawn.
func listed(n int) int64  { return 20_000 + 24*int64(n) }
func sampled(n int) int64 { return 2_000 + 2*int64(n) }

// rounding bounds the error of the difference of two keys y − b·t.
func (p *pairSlopes) rounding(b float64) float64 {
	last := len(p.t) - 1
	return 0x1p-51 * (math.Abs(b)*(p.t[last]-p.t[0]) + p.highest - p.lowest)
}

// sweep turns the order from into the order just below the slope b, counts the slopes between, and returns the runs of
// readings that lie on one line of slope b.
func (p *pairSlopes) sweep(from []ray, b float64) (order []ray, lines [][2]int, below int64) {
	order = p.copyOf(from)
	t0, y0 := p.t[0], p.y[0]
	for i := range order {
		at := order[i].id >> 2
		order[i].key = (p.y[at] - y0) - b*(p.t[at]-t0)
		order[i].pos = int32(i)
	}
	below = p.merge.sort(order)
	tiny := p.rounding(b)
	for i := 0; i < len(order); {
		j := i + 1
		for j < len(order) && order[j].key-order[j-1].key <= tiny {
			j++
		}
		if line := order[i:j]; len(line) > 1 {
			for k := range line {
				line[k].key = float64(line[k].pos)
			}
			below -= p.merge.sort(line) // what rounding alone had exchanged
			lines = append(lines, [2]int{i, j})
		}
		i = j
	}
	return order, lines, below
}

// cross turns the order just below a slope into that just above it, and counts the slopes equal to it.
func (p *pairSlopes) cross(order []ray, lines [][2]int) (equal int64) {
	for _, l := range lines {
		line := order[l[0]:l[1]]
		p.backInTime(line)
		equal += p.merge.sort(line)
	}
	return equal
}

// backInTime sets the keys for falling times: the order for the slope +∞.
func (p *pairSlopes) backInTime(rays []ray) {
	for i := range rays {
		rays[i].key = -p.t[rays[i].id>>2]
	}
}

// copyOf copies an order, into memory given back before where there is some.
func (p *pairSlopes) copyOf(rays []ray) []ray {
	if last := len(p.free) - 1; last >= 0 {
		to := p.free[last]
		p.free = p.free[:last]
		copy(to, rays)
		return to
	}
	return slices.Clone(rays)
}

func (p *pairSlopes) release(rays []ray) { p.free = append(p.free, rays) }

// towards returns the order from with the places in the order to as keys.
func (p *pairSlopes) towards(from, to []ray) []ray {
	place := make([]int32, len(to))
	for i, r := range to {
		place[r.id>>2] = int32(i)
	}
	rays := p.copyOf(from)
	for i := range rays {
		rays[i].key = float64(place[rays[i].id>>2])
	}
	return rays
}

// sample draws slopes between two orders, at random places of the counting.
func (p *pairSlopes) sample(from, to []ray, inside int64) []float64 {
	p.merge.draw(sampled(len(p.t)), inside)
	rays := p.towards(from, to)
	defer p.release(rays)
	p.merge.sort(rays)
	drawn := p.merge.stop()
	out := make([]float64, len(drawn))
	for i, d := range drawn {
		out[i] = p.slope(d[0], d[1])
	}
	return out
}

// list lists the slopes between two orders, each as often as its weight says: insertion sort exchanges just these pairs.
func (p *pairSlopes) list(from, to []ray, inside int64) []float64 {
	rays := p.towards(from, to)
	defer p.release(rays)
	out := make([]float64, 0, inside)
	for i := 1; i < len(rays); i++ {
		r := rays[i]
		j := i
		for ; j > 0 && rays[j-1].key > r.key; j-- {
			l := rays[j-1]
			rays[j] = l
			out = p.add(out, l, r)
		}
		rays[j] = r
	}
	return out
}

// cuts picks from a sample of the slopes those that lie, almost surely, just below and just above each wanted place; never
// none.
func cuts(sample []float64, base, inside int64, want []int64) []float64 {
	m := float64(len(sample))
	var at []int64
	for _, w := range want {
		share := float64(w-base) / float64(inside)
		reach := 2.5*math.Sqrt(m*share*(1-share)) + 3
		from, to := int64(math.Floor(share*m-reach)), int64(math.Ceil(share*m+reach))
		if last := len(at) - 1; last >= 0 && from <= at[last] {
			at[last] = max(at[last], to) // the two reaches overlap: one for both
			continue
		}
		at = append(at, max(from, -1), to)
	}
	at = slices.DeleteFunc(at, func(i int64) bool { return i < 0 || i >= int64(len(sample)) })
	if len(at) == 0 {
		at = []int64{int64(len(sample) / 2)}
	}
	at = slices.Compact(at)
	out := make([]float64, len(at))
	pick(sample, 0, at, out)
	return slices.Compact(out)
}
