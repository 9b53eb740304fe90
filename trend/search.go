package trend

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// at returns the slopes at the given places, counted from 0, in the sorted multiset: −Inf before the first, +Inf after
// the last.
func (p *pairSlopes) at(places []int64) []float64 {
	if len(p.t) > fewReadings {
		return p.bySearch(places)
	}
	return p.inPlaces(places, func(want []int64, found []float64) { p.pick(p.all(), 0, want, found) })
}

func (p *pairSlopes) bySearch(places []int64) []float64 {
	p.merge = counter{spare: make([]ray, len(p.t)), random: rand.New(rand.NewPCG(1, 2))}
	last := slices.Clone(p.rays)
	p.backInTime(last)
	p.merge.sort(last)
	return p.inPlaces(places, func(want []int64, found []float64) { p.search(p.rays, last, 0, p.weight, want, found) })
}

// inPlaces has the places looked for in order, each once, and gives each what was found there.
func (p *pairSlopes) inPlaces(places []int64, find func(want []int64, found []float64)) []float64 {
	want := slices.Compact(slices.Sorted(slices.Values(places)))
	want = slices.DeleteFunc(want, func(at int64) bool { return at < 0 || at >= p.weight })
	found := make([]float64, len(want))
	find(want, found)
	out := make([]float64, len(places))
	for i, at := range places {
		if k, ok := slices.BinarySearch(want, at); ok {
			out[i] = found[k]
		} else {
			out[i] = math.Inf(cmp.Compare(at, 0))
		}
	}
	return out
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
		from, base, inside = order, base+below+equal, inside-below-equal
	}
	p.search(from, to, base, inside, want, found)
}

// listed is how many slopes are listed rather than sampled; sampled is how many are drawn.
func listed(n int) int64  { return 20_000 + 24*int64(n) }
func sampled(n int) int64 { return 2_000 + 2*int64(n) }

// sweep turns the order from into the order just below the slope b, counts the slopes between, and returns the runs of
// readings that lie on one line of slope b.
func (p *pairSlopes) sweep(from []ray, b float64) (order []ray, lines [][2]int, below int64) {
	order = slices.Clone(from)
	t0, y0 := p.t[0], p.y[0]
	for i := range order {
		at := order[i].id >> 2
		order[i].key = (p.y[at] - y0) - b*(p.t[at]-t0)
		order[i].pos = int32(i)
	}
	below = p.merge.sort(order)
	// the bound of the error of a difference of two keys
	tiny := 0x1p-51 * (math.Abs(b)*(p.t[len(p.t)-1]-t0) + p.highest - p.lowest)
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

// towards returns the order from with the places in the order to as keys.
func (p *pairSlopes) towards(from, to []ray) []ray {
	place := make([]int32, len(to))
	for i, r := range to {
		place[r.id>>2] = int32(i)
	}
	rays := slices.Clone(from)
	for i := range rays {
		rays[i].key = float64(place[rays[i].id>>2])
	}
	return rays
}

// sample draws slopes between two orders, at random places of the counting.
func (p *pairSlopes) sample(from, to []ray, inside int64) []float64 {
	drawn := p.merge.draw(p.towards(from, to), sampled(len(p.t)), inside)
	out := make([]float64, len(drawn))
	for i, d := range drawn {
		out[i] = p.slope(d[0], d[1])
	}
	return out
}

// list lists the slopes between two orders, each as often as its weight says: insertion sort exchanges just these
// pairs.
func (p *pairSlopes) list(from, to []ray, inside int64) []float64 {
	rays := p.towards(from, to)
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

// cuts picks from a sample of the slopes those that lie, almost surely, just below and just above each wanted place;
// never none.
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

// pick puts into found[i] the element that would stand at want[i]−base if v were sorted. want must be sorted. v is
// rearranged.
func pick(v []float64, base int64, want []int64, found []float64) {
	for len(want) > 0 {
		if len(v) <= 48 {
			slices.Sort(v)
			for i, w := range want {
				found[i] = v[w-base]
			}
			return
		}
		less, equal := split(v)
		k, _ := slices.BinarySearch(want, base+int64(less))
		pick(v[:less], base, want[:k], found[:k])
		want, found = want[k:], found[k:]
		for len(want) > 0 && want[0] < base+int64(less+equal) {
			found[0] = v[less]
			want, found = want[1:], found[1:]
		}
		v, base = v[less+equal:], base+int64(less+equal)
	}
}

// split puts what is below, equal to and above a middling element in this order, and returns how many are below and
// equal.
func split(v []float64) (less, equal int) {
	n := len(v)
	pivot := medianOfThree(
		medianOfThree(v[0], v[n/8], v[n/4]),
		medianOfThree(v[3*n/8], v[n/2], v[5*n/8]),
		medianOfThree(v[3*n/4], v[7*n/8], v[n-1]))
	lo, i, hi := 0, 0, n
	for i < hi {
		switch x := v[i]; {
		case x < pivot:
			v[lo], v[i] = x, v[lo]
			lo++
			i++
		case x > pivot:
			hi--
			v[i], v[hi] = v[hi], x
		default:
			i++
		}
	}
	return lo, hi - lo
}

// medianOfThree is the median of three.
func medianOfThree(a, b, c float64) float64 {
	return max(min(a, b), min(max(a, b), c))
}
