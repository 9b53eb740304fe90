package trend

import (
	"fmt"
	"math"
	"slices"
)

// Interval is a confidence interval.
type Interval struct {
	Level    float64 // asked for, 0..1
	Lo, Hi   float64 // ±Inf where the readings set no bound; NaN where there is no interval
	Attained float64 // what the interval holds, where that is known; few readings cannot give every level
}

// MedianSlope is a Theil–Sen line: the median of all pair slopes, which a few gross errors do not move.
type MedianSlope struct {
	Slope     float64    // unit of y per day; NaN without a pair
	Intervals []Interval // of Slope, one for each level asked for
	Notes     []Note
}

// RankTrend estimates the change of y per day as the median of the slopes (y[j]−y[i])/(t[j]−t[i]) of all pairs of
// readings at different times, with a rank interval for each level (Theil–Sen), and tests it as MannKendall does.
//
// With N pairs, z the two-sided normal quantile of the level, and
//
//	V = [n(n−1)(2n+5) − Σk(k−1)(2k+5)]/18
//
// over the groups of k equal times and those of k equal values, the interval reaches from the sorted slope at place
// max(r((N−z√V)/2) − 1, 0) to the one at min(r((N+z√V)/2), N−1), places counted from 0 and r rounding half to even.
// Below about six readings it is just the range of the slopes; Attained says what it holds: 1 less the chance that so
// few, or so many, slopes lie below the true one, exact for up to 20 readings at different times, normal beyond.
//
// t is in days, in any order; y in any unit. It takes O(n log n) expected time. RankTrend panics unless
// len(t) == len(y), all are finite, and every level lies between 0 and 1. Readings all equal give the slope 0, the
// interval [0, 0] and a note.
//
// Reference: H. Theil, 1950, A rank-invariant method of linear and polynomial regression analysis, Indagationes
// Mathematicae 12, 85–91; P. K. Sen, 1968, Estimates of the regression coefficient based on Kendall's tau, Journal of
// the American Statistical Association 63, 1379–1389.
func RankTrend(t, y []float64, levels ...float64) (MedianSlope, KendallTest) {
	checkPairs("RankTrend", t, y)
	checkLevels("RankTrend", levels)
	p := newPairSlopes(t, y, nil)
	a := p.tally()
	return p.medianSlope(a, levels), a.kendall()
}

// medianSlope finds the slope and its intervals in one search.
func (p *pairSlopes) medianSlope(a tally, levels []float64) MedianSlope {
	var m MedianSlope
	if p.pairs == 0 {
		nan := math.NaN()
		m.Slope = nan
		for _, l := range levels {
			m.Intervals = append(m.Intervals, Interval{l, nan, nan, nan})
		}
		m.Notes = []Note{{"too-few", fmt.Sprintf("needs readings at 2 different times, has %d", len(a.timeSizes))}}
		return m
	}
	v := (variance18(int64(a.n)) - a.times.v18 - a.values.v18) / 18
	last := p.pairs - 1
	ranks := []int64{last / 2, p.pairs / 2}
	for _, l := range levels {
		half := twoSidedQuantile(l) * math.Sqrt(max(v, 0))
		ranks = append(ranks,
			max(int64(math.RoundToEven((float64(p.pairs)-half)/2))-1, 0),
			min(int64(math.RoundToEven((float64(p.pairs)+half)/2)), last))
	}
	places := make([]int64, len(ranks))
	for i, r := range ranks {
		places[i] = 2 * r // each slope stands twice
	}
	found := p.at(places)
	m.Slope = (found[0] + found[1]) / 2
	for i, l := range levels {
		ends := 2 + 2*i
		in := Interval{l, found[ends], found[ends+1], a.attained(p.pairs, ranks[ends], ranks[ends+1])}
		if v < 0 {
			in = Interval{l, math.NaN(), math.NaN(), math.NaN()}
		}
		m.Intervals = append(m.Intervals, in)
	}
	if p.lowest == p.highest {
		m.Notes = []Note{equalNote(a.n)}
	}
	return m
}

func equalNote(n int) Note {
	return Note{"constant", fmt.Sprintf("all %d readings are equal: changes smaller than the method's step cannot be seen",
		n)}
}

// attained is the chance that the true slope lies between the slopes of the given ranks.
func (a *tally) attained(pairs, low, high int64) float64 {
	if a.times.pairs == 0 && a.n <= 20 {
		alone := slices.Repeat([]int{1}, a.n) // of n(n−1)/2 pairs, those below the true slope are as many as inversions
		return 1 - inversionTail(alone, int(low)) - inversionTail(alone, int(pairs-high-1))
	}
	sd := math.Sqrt((variance18(int64(a.n)) - a.times.v18) / 18)
	tail := func(most int64) float64 { return normalCDF((float64(2*most+1) - float64(pairs)) / sd) }
	return 1 - tail(low) - tail(pairs-high-1)
}

func checkLevels(who string, levels []float64) {
	for _, l := range levels {
		if !(l > 0 && l < 1) {
			panic(fmt.Sprintf("trend: %s: level %v is not between 0 and 1", who, l))
		}
	}
}

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
