package trend

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Comparison is by how much one set of readings lies above another.
type Comparison struct {
	NBefore, NAfter int
	Limits          int      // of all of them, how many are "<" or ">"
	Shift           float64  // after − before, canonical unit; NaN where the readings cannot tell
	Interval        Interval // of Shift
	P               float64  // two-sided chance of so large a difference when there is none; NaN where all are equal
	// too few readings to tell: Interval is by the scatter of the methods, and says nothing of the water's
	Few   bool
	Notes []Note
}

// Compare estimates by how much the readings after lie above those before as the median of all differences
// after[j] − before[i] (Hodges–Lehmann), with the interval that the Wilcoxon–Mann–Whitney test does not reject.
//
// Without ties and for up to 50 readings in all the interval reaches from the k-th smallest to the k-th largest
// difference, k the smallest number with P(U <= k) >= (1−level)/2 and at least 1, from the exact distribution of U; its
// Attained is what that holds, which for a few readings may be less than asked for. Otherwise it is
//
//	[sup{d: S(d) > z√VarS}, inf{d: S(d) < −z√VarS}],  S(d) = #{after−d > before} − #{after−d < before}
//
// with the variance of S over all orders, ties included. P is exact for up to 50 readings that are numbers and for up
// to 8 with limits, else normal with continuity correction.
//
// A reading "<0.02" is used for what it says and no more: it counts as smaller than a number that, the shift taken off,
// is not below its limit, and in no other comparison. This is Gehan's test, and the shift is the slope of
// AkritasTheilSen from time 0 to time 1. Where too many readings are limits the shift is NaN, or its interval open to
// one side.
//
// With so few readings that no interval by ranks can come within 2 % of the level, 2/C(m+n, n) being the chance of the
// widest to miss, Few is set, and the interval holds the one by ranks and shift ± z√(s²before/m + s²after/n), s² the
// mean square of the standard deviations that the methods give. The tank may scatter more than its tests do, so nothing
// is told by it.
//
// The order of readings within each set does not matter; that they scatter alike and independently before and after
// does. Compare panics unless all values are finite and 0 < level < 1.
//
// Reference: J. L. Hodges, E. L. Lehmann, 1963, Estimates of location based on rank tests, Annals of Mathematical
// Statistics 34, 598–611; H. B. Mann, D. R. Whitney, 1947, On a test of whether one of two random variables is
// stochastically larger than the other, Annals of Mathematical Statistics 18, 50–60; E. A. Gehan, 1965, A generalized
// Wilcoxon test for comparing arbitrarily singly-censored samples, Biometrika 52, 203–223.
func Compare(before, after []Observation, level float64) Comparison {
	var t, y []float64
	var bound []Bound
	for side, set := range [][]Observation{before, after} {
		for _, o := range set {
			t, y, bound = append(t, float64(side)), append(y, o.Value), append(bound, o.Bound)
		}
	}
	checkPairs("Compare", t, y)
	checkLevels("Compare", []float64{level})
	p := newPairSlopes(t, y, bound)
	a := p.tally()
	line := p.censoredSlope(a, []float64{level})
	c := Comparison{
		NBefore: len(before), NAfter: len(after), Limits: a.n - line.Detected,
		Shift: line.Slope, Interval: line.Intervals[0],
	}
	c.P, _ = line.P()
	if a.plain && a.values.pairs == 0 && a.n <= exactUpTo && p.pairs > 0 {
		c.Interval = p.exactShift(len(before), len(after), level)
	}
	if len(before) > 0 && len(after) > 0 && 1-2/waysToChoose(len(before)+len(after), len(after)) < level-attainedWithin {
		c.Few = true
		c.widen(math.Sqrt(meanVariance(before)+meanVariance(after)) * twoSidedQuantile(level))
	}
	c.note(line.Notes)
	return c
}

// attainedWithin is how much less than what was asked for an interval may hold and still count as one.
const attainedWithin = 0.02

// widen makes the interval reach at least so far to both sides of the shift.
func (c *Comparison) widen(half float64) {
	if math.IsNaN(c.Shift) || !(half > 0) {
		return
	}
	if i := &c.Interval; !math.IsInf(i.Lo, 0) && !math.IsInf(i.Hi, 0) {
		*i = Interval{i.Level, min(i.Lo, c.Shift-half), max(i.Hi, c.Shift+half), math.NaN()}
	}
}

// meanVariance is the variance of the mean of readings, by the scatter of their methods.
func meanVariance(obs []Observation) float64 {
	sum := 0.0
	for _, o := range obs {
		sum += o.SD * o.SD
	}
	n := float64(len(obs))
	return sum / (n * n)
}

// waysToChoose is the number of ways to choose k of n.
func waysToChoose(n, k int) float64 {
	ways := 1.0
	for i := 1; i <= k; i++ {
		ways *= float64(n-k+i) / float64(i)
	}
	return ways
}

// exactShift is the interval by the exact distribution of U.
func (p *pairSlopes) exactShift(m, n int, level float64) Interval {
	sizes := []int{m, n}
	k := 1
	for inversionTail(sizes, k) < (1-level)/2 {
		k++
	}
	ends := p.at([]int64{2 * int64(k-1), 2 * int64(m*n-k)}) // each difference stands twice
	return Interval{level, ends[0], ends[1], 1 - 2*inversionTail(sizes, k-1)}
}

func (c *Comparison) note(line []Note) {
	switch {
	case c.NBefore == 0 || c.NAfter == 0:
		c.Notes = []Note{{"too-few", fmt.Sprintf("needs readings on both sides, has %d before and %d after", c.NBefore,
			c.NAfter)}}
		return
	case c.Limits > 0:
		c.Notes = []Note{{"limits", fmt.Sprintf("%d of %d readings are limits and count only where they can be ordered",
			c.Limits, c.NBefore+c.NAfter)}}
	}
	c.Notes = append(c.Notes, line...)
	if c.Few {
		c.Notes = append(c.Notes, Note{"few-readings", fmt.Sprintf("too few readings, %d before and %d after, to tell a "+
			"change; the interval is by the scatter of the methods alone", c.NBefore, c.NAfter)})
	}
	if math.IsInf(c.Interval.Lo, 0) || math.IsInf(c.Interval.Hi, 0) {
		c.Notes = append(c.Notes, Note{"open", "the readings set no bound to the change on one side"})
	}
}

// Paired is by how much one of two readers of the same water reads above the other.
type Paired struct {
	N        int
	Shift    float64  // mean of the differences; NaN of none
	Interval Interval // of Shift; open where there are fewer than two
	Few      bool     // fewer than LeastPairs: nothing is told by it
}

// LeastPairs is how many pairs it takes to tell a difference. With fewer the quantile of Student's t, 1.64 of four
// pairs at 80 % and 3.18 at 95 %, rests on a scatter that is hardly known. Chosen here.
const LeastPairs = 5

// ComparePairs estimates by how much one of two readers reads above the other, from the differences d of pairs of
// readings of the same water: their mean, with the interval
//
//	mean ± t s/√n
//
// s the standard deviation of the differences and t the quantile of Student's distribution with n−1 degrees of freedom.
// Readings that come in steps may differ by the same number each time, by which no scatter is known: s counts at least
// as much as rounded, the standard deviation that the steps alone give a difference. The order of d does not matter;
// that the differences are independent and scatter about alike does. ComparePairs panics unless all values are finite,
// rounded >= 0 and 0 < level < 1.
//
// It is also called the paired t interval of the bias. Reference: J. M. Bland, D. G. Altman, 1986, Statistical methods
// for assessing agreement between two methods of clinical measurement, Lancet 327, 307–310.
func ComparePairs(d []float64, rounded, level float64) Paired {
	checkPairs("ComparePairs", make([]float64, len(d)), d)
	checkLevels("ComparePairs", []float64{level})
	if !(rounded >= 0) {
		panic("trend: ComparePairs: the rounding is not a standard deviation")
	}
	p := Paired{N: len(d), Shift: math.NaN(), Interval: Interval{level, math.Inf(-1), math.Inf(1), math.NaN()},
		Few: len(d) < LeastPairs}
	if p.N > 0 {
		p.Shift = stat.Mean(d, nil)
	}
	if p.N > 1 {
		n := float64(p.N)
		t := distuv.StudentsT{Sigma: 1, Nu: n - 1}.Quantile((1 + level) / 2)
		half := t * max(stat.StdDev(d, nil), rounded) / math.Sqrt(n)
		p.Interval.Lo, p.Interval.Hi = p.Shift-half, p.Shift+half
	}
	return p
}

// Repeatability is how far single tests of the same water by the same method scatter.
type Repeatability struct {
	Pairs    int
	SD       float64  // of a single test, unit of the readings; NaN without a pair
	Interval Interval // of SD
	// Smallest is the smallest difference between two single tests that shows, at the level of the interval, that the
	// water differs.
	Smallest float64
	Notes    []Note
}

// RepeatabilityOf pools duplicate tests, two of the same water each, into the standard deviation of a single test.
//
//	SD² = Σd²/(2n),  d the difference within each of n pairs
//	interval: SD·√(n/χ²) at the (1+level)/2 and (1−level)/2 points of χ² with n degrees of freedom
//	Smallest = z·√2·SD, z the two-sided normal point of the level (1.96 at 95 %: the repeatability limit, 2.8·SD)
//
// The pairs may be of quite different water so long as the scatter is the same; for a scatter in proportion to the
// value pass logarithms, and read SD as a fraction. Values are in any one unit. Both must be numbers: a pair with a "<"
// has no difference. RepeatabilityOf panics unless all values are finite and 0 < level < 1.
//
// Without a pair all is NaN. Where no pair differs SD is 0, with a note.
//
// Reference: G. Dahlberg, 1940, Statistical Methods for Medical and Biological Students, chapter 9; ISO 5725-6:1994,
// Accuracy of measurement methods and results, section 4, for the repeatability limit; the interval as in NIST/SEMATECH
// e-Handbook, 7.2.3.
func RepeatabilityOf(pairs [][2]float64, level float64) Repeatability {
	checkLevels("RepeatabilityOf", []float64{level})
	nan := math.NaN()
	r := Repeatability{Pairs: len(pairs), SD: nan, Interval: Interval{level, nan, nan, nan}, Smallest: nan}
	if len(pairs) == 0 {
		r.Notes = []Note{{"too-few", "needs a duplicate test, has none"}}
		return r
	}
	sum := 0.0
	for i, p := range pairs {
		d := p[0] - p[1]
		if math.IsNaN(d - d) {
			panic(fmt.Sprintf("trend: RepeatabilityOf: pair %d: %v and %v", i, p[0], p[1]))
		}
		sum += d * d
	}
	n := float64(len(pairs))
	r.SD = math.Sqrt(sum / (2 * n))
	chi := distuv.ChiSquared{K: n}
	r.Interval.Lo = r.SD * math.Sqrt(n/chi.Quantile((1+level)/2))
	r.Interval.Hi = r.SD * math.Sqrt(n/chi.Quantile((1-level)/2))
	r.Interval.Attained = level
	r.Smallest = twoSidedQuantile(level) * math.Sqrt2 * r.SD
	if r.SD == 0 {
		r.Notes = append(r.Notes, Note{"constant", fmt.Sprintf("none of %d pairs differs: the scatter is small against the "+
			"step, how small they cannot say", len(pairs))})
	}
	return r
}
