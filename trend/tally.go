package trend

import "math"

// tally counts what rank tests need of readings in order of time, in O(n log n). Readings are numbers, or known only to
// be below or above a limit; two are ordered only where the order is certain: "<L" is below a number y if L <= y, a
// number is below ">U" if y <= U, "<L" is below ">U" if L <= U, and two limits of the same kind are never ordered.
type tally struct {
	n             int
	up, down      int64 // pairs at different times whose later reading is certainly the larger, the smaller
	times, values ties
	compared      int64   // pairs, at whatever times, whose order is certain
	valueSq       float64 // Σ scores²
	timeSq        float64 // the same for earlier and later
	timeSizes     []int   // sizes of the groups of equal times, in order
	valueSizes    []int   // sizes of the groups of the same value and kind, in order of value
	sorted        []ray   // in order of value
	scores        []int64 // for each reading in order of time, certainly smaller − certainly larger readings
	plain         bool    // all readings are numbers
}

// ties are sums over groups of equal things.
type ties struct {
	pairs int64   // Σk(k−1)/2
	v18   float64 // Σk(k−1)(2k+5)
}

func (t *ties) add(k int) {
	t.pairs += int64(k) * int64(k-1) / 2
	t.v18 += variance18(int64(k))
}

func variance18(k int64) float64 { return float64(k) * float64(k-1) * float64(2*k+5) }

// tally counts. A reading stands at its value as a number, just below its limit for "<", just above it for ">".
func (p *pairSlopes) tally() tally {
	n := len(p.t)
	a := tally{n: n, sorted: make([]ray, n), scores: make([]int64, n), plain: p.plain}
	copy(a.sorted, p.rays)
	for i, r := range a.sorted {
		key := p.y[i]
		switch r.id & canBoth {
		case canLow:
			key = math.Nextafter(key, math.Inf(-1))
		case canHigh:
			key = math.Nextafter(key, math.Inf(1))
		}
		a.sorted[i].key = key
	}
	a.countTimes(p.t)
	c := counter{spare: make([]ray, n)}
	exchanged := c.sort(a.sorted)
	a.down = exchanged - c.rises
	a.up = p.rises - c.rises - a.countValues(p.t)
	return a
}

// countTimes goes through the readings in order of time.
func (a *tally) countTimes(t []float64) {
	for i := 0; i < a.n; {
		j := i + 1
		for j < a.n && t[j] == t[i] {
			j++
		}
		a.times.add(j - i)
		a.timeSizes = append(a.timeSizes, j-i)
		earlierLessLater := float64(i - (a.n - j))
		a.timeSq += float64(j-i) * earlierLessLater * earlierLessLater
		i = j
	}
}

// countValues goes through the readings in order of value. It returns how many pairs at different times would rise, had
// they not the same value.
func (a *tally) countValues(t []float64) (level int64) {
	var lows, highs int64
	for _, r := range a.sorted {
		highs += int64(r.high())
	}
	for i := 0; i < a.n; {
		j := i
		var low, high, l, h int64 // of the group; of its readings at one time
		for ; j < a.n && a.sorted[j].key == a.sorted[i].key; j++ {
			r := a.sorted[j]
			if j > i && t[r.id>>2] != t[a.sorted[j-1].id>>2] {
				low, high, l, h = low+l, high+h, 0, 0
			}
			l += int64(r.low())
			h += int64(r.high())
			level += low * int64(r.high())
		}
		low, high = low+l, high+h
		highs -= high
		for _, r := range a.sorted[i:j] {
			smaller, larger := lows*int64(r.high()), highs*int64(r.low())
			a.compared += smaller
			a.scores[r.id>>2] = smaller - larger
			a.valueSq += float64(smaller-larger) * float64(smaller-larger)
		}
		lows += low
		a.values.add(j - i)
		a.valueSizes = append(a.valueSizes, j-i)
		i = j
	}
	return level
}

// variance of S over all orders of the readings over the times: the general formula for any two antisymmetric scores a
// and b, here the signs in time and in value,
//
//	Var S = (Σa·ᵢ² − Σaᵢⱼ²)(Σb·ᵢ² − Σbᵢⱼ²)/(n(n−1)(n−2)) + Σaᵢⱼ²·Σbᵢⱼ²/(2n(n−1))
//
// with a·ᵢ the row sums. Without limits it is Kendall's formula with ties in both.
//
// Reference: H. E. Daniels, 1944, The relation between measures of correlation in the universe of sample permutations,
// Biometrika 33, 129–135.
func (a *tally) variance() float64 {
	n := float64(a.n)
	if a.n < 2 {
		return 0
	}
	time := 2 * (n*(n-1)/2 - float64(a.times.pairs))
	value := 2 * float64(a.compared)
	v := time * value / (2 * n * (n - 1))
	if a.n > 2 {
		v += (a.timeSq - time) * (a.valueSq - value) / (n * (n - 1) * (n - 2))
	}
	return v
}

// exact is the two-sided exact p-value, NaN where it is not computed.
func (a *tally) exact(s int64, variance float64) float64 {
	switch {
	case variance == 0:
		return math.NaN()
	case a.plain && a.times.pairs == 0 && a.n <= exactUpTo:
		return exactByInversions(a.valueSizes, s)
	case a.plain && a.values.pairs == 0 && a.n <= exactUpTo:
		return exactByInversions(a.timeSizes, s)
	case a.n <= exactTiedUpTo:
		return exactByPlacing(a.timeSizes, a.classes(), s)
	case a.plain && a.n <= exactUpTo && len(a.timeSizes) <= 2:
		// Numbers and times may change places: few times have few sets.
		return exactByPlacing(a.valueSizes, timeClasses(a.timeSizes), s)
	default:
		return math.NaN()
	}
}
