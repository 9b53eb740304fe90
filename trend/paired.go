package trend

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

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
