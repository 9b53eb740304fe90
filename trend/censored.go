package trend

import (
	"fmt"
	"math"
)

// CensoredSlope is an Akritas–Theil–Sen line.
type CensoredSlope struct {
	RankTest
	Detected       int     // readings that are numbers
	Slope          float64 // unit of y per day: the middle of ZeroLo..ZeroHi; NaN where either does not exist
	ZeroLo, ZeroHi float64 // S(b) is zero between these slopes; NaN where S(b) never is above, never below zero

	Intervals []Interval // of Slope, one for each level asked for
	Notes     []Note
}

// AkritasTheilSen estimates the change of y per day where y[i] is a number (bound[i] Exact), or the limit that the true
// value is known to lie below (Below) or above (Above).
//
// A slope b is tried by taking it away: S(b) is Kendall's S of the residuals y − b·t over time, counting only pairs
// whose order is certain: two numbers by their residuals; "<L" below a number where L − b·t is not above its residual;
// a number below ">U" likewise; "<L" below ">U" likewise; two limits of one kind never; equal times never. S(b) falls
// as b grows.
//
//	Slope    = middle of [sup{b: S(b) > 0}, inf{b: S(b) < 0}]
//	interval = [sup{b: S(b) > z√VarS}, inf{b: S(b) < −z√VarS}]
//
// The interval is every b that the test of S(b) would not reject, with the variance at b = 0; an end is infinite where
// no slope, however steep, would be rejected. Without limits Slope is that of RankTrend; the interval may differ by one
// rank, since nothing is rounded here.
//
// t is in days, in any order; y in any unit. It takes O(n log n) expected time. AkritasTheilSen panics unless t, y and
// bound are equally long, all are finite, and every level lies between 0 and 1. Where the readings cannot tell a slope
// it is NaN, never 0, with a note "not enough detected readings"; its interval may still be bounded on one side.
//
// Reference: M. G. Akritas, S. A. Murphy, M. P. LaValley, 1995, The Theil-Sen estimator with doubly censored data and
// applications to astronomy, Journal of the American Statistical Association 90, 170–177; D. R. Helsel, 2012,
// Statistics for Censored Environmental Data, 2nd edition, chapter 12.
func AkritasTheilSen(t, y []float64, bound []Bound, levels ...float64) CensoredSlope {
	checkPairs("AkritasTheilSen", t, y)
	checkLevels("AkritasTheilSen", levels)
	if len(bound) != len(t) {
		panic(fmt.Sprintf("trend: AkritasTheilSen: %d times and %d bounds", len(t), len(bound)))
	}
	p := newPairSlopes(t, y, bound)
	return p.censoredSlope(p.tally(), levels)
}

func (p *pairSlopes) censoredSlope(a tally, levels []float64) CensoredSlope {
	c := CensoredSlope{RankTest: a.test(), Detected: p.numbers}
	p.solve(&c, levels)
	if math.IsNaN(c.Slope) {
		c.Notes = append(c.Notes, Note{"few-detected",
			fmt.Sprintf("not enough detected readings to tell a slope: %d of %d", c.Detected, c.N)})
	}
	if p.lowest == p.highest && c.Detected == c.N && c.N > 1 {
		c.Notes = append(c.Notes, equalNote(c.N))
	}
	return c
}

// solve finds where S(b) crosses zero and ±z√VarS. S(b) begins with the rises and falls by one at each slope of the
// multiset, so that each crossing is an order statistic.
func (p *pairSlopes) solve(c *CensoredSlope, levels []float64) {
	places := []int64{p.rises - 1, p.rises}
	for _, l := range levels {
		half := twoSidedQuantile(l) * math.Sqrt(c.VarS)
		places = append(places,
			int64(math.Ceil(float64(p.rises)-half))-1, // the first slope after which S is no more than half
			int64(math.Floor(float64(p.rises)+half)))  // the first after which it is below −half
	}
	ends := p.at(places)
	c.ZeroLo, c.ZeroHi = finiteOrNaN(ends[0]), finiteOrNaN(ends[1])
	c.Slope = (c.ZeroLo + c.ZeroHi) / 2
	for i, l := range levels {
		c.Intervals = append(c.Intervals, Interval{l, ends[2+2*i], ends[3+2*i], math.NaN()})
	}
}

func finiteOrNaN(x float64) float64 {
	if math.IsInf(x, 0) {
		return math.NaN()
	}
	return x
}
