package trend

import (
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
