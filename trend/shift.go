package trend

import (
	"math"
	"slices"
)

// Shift is how far a level has moved between two stretches of time.
type Shift struct {
	NBefore, NAfter int
	Before, After   float64 // medians; NaN where there is no value
	Shift           float64 // after less before
	Lo, Hi          float64 // interval of the shift; infinite where there are too few values for any
	Level           float64 // the confidence the interval has, at least the one asked for; NaN without an interval
}

// ShiftBetween estimates the shift from the values before to those after as the median of all pairwise differences
//
//	after[j] − before[i]
//
// with the interval of the Mann–Whitney test at a confidence of at least level. It asks nothing of the shape of the
// scatter and is not moved by a gross error; it takes the values of either side for scattered around one level, so that
// a level that drifts within a stretch widens the interval. Values are in one unit, in any order, and not NaN. Ties make
// the interval slightly too wide. ShiftBetween panics unless 0 < level < 1. With an empty side everything but that
// side's median is NaN.
//
// Also called: Hodges–Lehmann estimate of location shift, rank-sum interval.
// References (from memory): Hodges J.L. & Lehmann E.L. (1963) Annals of Mathematical Statistics 34, 598; Hollander M. &
// Wolfe D.A. (1973) Nonparametric statistical methods, section 4.3.
func ShiftBetween(before, after []float64, level float64) Shift {
	if !(level > 0 && level < 1) {
		panic("trend: the level of a shift lies between 0 and 1")
	}
	nan := math.NaN()
	s := Shift{NBefore: len(before), NAfter: len(after), Before: medianOrNaN(before), After: medianOrNaN(after), Shift: nan, Lo: nan, Hi: nan, Level: nan}
	if len(before) == 0 || len(after) == 0 {
		return s
	}
	d := make([]float64, 0, len(before)*len(after))
	for _, b := range before {
		for _, a := range after {
			d = append(d, a-b)
		}
	}
	s.Shift = medianOrNaN(d)
	slices.Sort(d)
	s.Lo, s.Hi = math.Inf(-1), math.Inf(1)
	// The k smallest and the k largest differences lie outside; as many as the level allows.
	k, tail := 0, 0.0
	for k < len(d)/2 {
		p := rankSumTail(len(before), len(after), k)
		if 2*p > 1-level {
			break
		}
		k, tail = k+1, p
	}
	if k > 0 {
		s.Lo, s.Hi, s.Level = d[k-1], d[len(d)-k], 1-2*tail
	}
	return s
}

// exactRankSum is the product of the sizes up to which the rank-sum distribution is counted out.
const exactRankSum = 900

// rankSumTail is the chance that the Mann–Whitney count of n and m values without ties is at most u when nothing has
// shifted: counted out for small sizes, else by the normal law with a correction for continuity.
func rankSumTail(n, m, u int) float64 {
	if n*m > exactRankSum {
		mean := float64(n*m) / 2
		sd := math.Sqrt(float64(n*m) * float64(n+m+1) / 12)
		return 0.5 * math.Erfc(-(float64(u)+0.5-mean)/sd/math.Sqrt2)
	}
	// ways[j][v]: orders of i values of one side and j of the other with count v. The largest of all belongs to either
	// side: to the first, and it lies above all j others, or to the second, and it adds nothing.
	ways := make([][]float64, m+1)
	for j := range ways {
		ways[j] = make([]float64, n*m+1)
		ways[j][0] = 1
	}
	for i := 1; i <= n; i++ {
		for j := 1; j <= m; j++ {
			next := make([]float64, n*m+1)
			for v := range next {
				next[v] = ways[j-1][v]
				if v >= j {
					next[v] += ways[j][v-j]
				}
			}
			ways[j] = next
		}
	}
	below, all := 0.0, 0.0
	for v, w := range ways[m] {
		all += w
		if v <= u {
			below += w
		}
	}
	return below / all
}

// medianOrNaN is the median; NaN of nothing.
func medianOrNaN(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	return median(slices.Clone(x))
}
