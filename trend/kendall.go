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
