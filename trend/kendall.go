package trend

import (
	"cmp"
	"fmt"
	"math"
)

// RankTest is Kendall's S of value over time with what is needed to test it.
type RankTest struct {
	N int
	// pairs whose later value is certainly the larger, less those whose later value is certainly the smaller
	S       int64
	TauA    float64 // S over all n(n−1)/2 pairs; NaN below 2 readings
	VarS    float64 // variance of S when every order of the values over the times is equally likely, ties in both included
	Z       float64 // (S − sign S)/√VarS; 0 where VarS is 0
	PNormal float64 // two-sided, from Z; NaN where VarS is 0
	// two-sided share of all orders with an |S| as large; NaN where it is not computed, see MannKendall; with limits,
	// beyond 8
	PExact float64
}

// P is the two-sided p-value to show, and whether it is exact: PExact where there is one, else PNormal.
func (k RankTest) P() (p float64, exact bool) {
	if !math.IsNaN(k.PExact) {
		return k.PExact, true
	}
	return k.PNormal, false
}

// KendallTest is Kendall's rank correlation of value and time, tested (Mann–Kendall).
type KendallTest struct {
	RankTest
	TauB      float64 // −1..1, ties taken out of the denominator; NaN where all values, or all times, are equal
	VarSYTies float64 // the usual text-book variance, [n(n−1)(2n+5) − Σk(k−1)(2k+5)]/18 over the groups of k equal values
}

// MannKendall tests whether the values y rise or fall with the times t.
//
//	S    = Σ_{i<j} sign(t[j]−t[i])·sign(y[j]−y[i])
//	τb   = S / √((N−T)(N−Y)),  N = n(n−1)/2, T and Y the pairs tied in time and in value;  τa = S/N
//	z    = (S − sign S)/√VarS
//	VarS = [v(n) − Σv(t) − Σv(u)]/18 + Σt(t−1)·Σu(u−1)/(2n(n−1)) + Σt(t−1)(t−2)·Σu(u−1)(u−2)/(9n(n−1)(n−2))
//
// with v(k) = k(k−1)(2k+5) and sums over the groups of equal times and of equal values.
//
// PExact counts orders, and is given for up to 50 readings where times, or values, are all different or there are only
// two times, and for up to 8 with ties in both. Ties need no break: the orders are those of the values as they are.
//
// t is in days, in any order, y in any unit; S and its variance have none. It takes O(n log n). MannKendall panics
// unless len(t) == len(y) and all are finite. With fewer than 2 readings, or all equal, there is no test: NaN.
//
// Reference: M. G. Kendall, 1970, Rank Correlation Methods, 4th edition, chapters 3–5; H. B. Mann, 1945, Nonparametric
// tests against trend, Econometrica 13, 245–259; R. M. Hirsch, J. R. Slack, R. A. Smith, 1982, Techniques of trend
// analysis for monthly water quality data, Water Resources Research 18, 107–121. The exact distribution with ties is
// that of inversions in the orders of a multiset (P. A. MacMahon, 1916, Combinatory Analysis).
func MannKendall(t, y []float64) KendallTest {
	checkPairs("MannKendall", t, y)
	p := newPairSlopes(t, y, nil)
	a := p.tally()
	return a.kendall()
}

func checkPairs(who string, t, y []float64) {
	if len(t) != len(y) {
		panic(fmt.Sprintf("trend: %s: %d times and %d values", who, len(t), len(y)))
	}
	for i := range t {
		if math.IsNaN(t[i]-t[i]) || math.IsNaN(y[i]-y[i]) { // NaN or infinite
			panic(fmt.Sprintf("trend: %s: reading %d: time %v, value %v", who, i, t[i], y[i]))
		}
	}
}

// exactUpTo and exactTiedUpTo are how many readings have exact p-values.
const (
	exactUpTo     = 50
	exactTiedUpTo = 8
)

// test tests S.
func (a *tally) test() RankTest {
	n := float64(a.n)
	k := RankTest{N: a.n, S: a.up - a.down, VarS: a.variance()}
	k.TauA = float64(k.S) / (n * (n - 1) / 2)
	k.PNormal, k.PExact = math.NaN(), a.exact(k.S, k.VarS)
	if k.VarS > 0 {
		k.Z = float64(k.S-int64(cmp.Compare(k.S, 0))) / math.Sqrt(k.VarS)
		k.PNormal = math.Erfc(math.Abs(k.Z) / math.Sqrt2)
	}
	return k
}

func (a *tally) kendall() KendallTest {
	n := int64(a.n)
	all := n * (n - 1) / 2
	k := KendallTest{RankTest: a.test(), VarSYTies: (variance18(n) - a.values.v18) / 18}
	k.TauB = float64(k.S) / math.Sqrt(float64(all-a.times.pairs)*float64(all-a.values.pairs))
	return k
}

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
