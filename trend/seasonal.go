package trend

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// SeasonalTest is a trend test that compares readings only with those of the same season.
type SeasonalTest struct {
	Seasons        []SeasonPart // those that were used, in order
	S              int64        // sum of the seasons' S
	VarS           float64      // sum of their variances
	Z, P           float64      // as in KendallTest; P is normal, two-sided
	Slope          float64      // unit of y per day: the middle of ZeroLo..ZeroHi; NaN where either does not exist
	ZeroLo, ZeroHi float64      // the summed S(b) is zero between these slopes
}

// SeasonPart is what one season adds.
type SeasonPart struct {
	Season, N int
	S         int64
	VarS      float64
}

// fewestOfSeason is the fewest readings of a season that is used.
const fewestOfSeason = 3

// SeasonalKendall tests for a trend under a yearly rhythm, over two years or more: S and its variance are summed over the
// seasons, and the slope is where the summed S(b) crosses zero, which without limits is the median of all slopes within
// seasons. Limits count as in AkritasTheilSen. season[i] is any number for the season of reading i, such as its month; seasons
// with fewer than 3 readings are left out. Seasons are taken as independent of each other.
//
// t is in days, in any order. SeasonalKendall lists all pairs within seasons. It panics unless all slices are equally long and
// all values are finite.
//
// Reference: R. M. Hirsch, J. R. Slack, R. A. Smith, 1982, Techniques of trend analysis for monthly water quality data, Water
// Resources Research 18, 107–121.
func SeasonalKendall(t, y []float64, bound []Bound, season []int) SeasonalTest {
	checkPairs("SeasonalKendall", t, y)
	if len(bound) != len(t) || len(season) != len(t) {
		panic(fmt.Sprintf("trend: SeasonalKendall: %d times, %d bounds and %d seasons", len(t), len(bound), len(season)))
	}
	order := make([]int, len(t))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(season[a], season[b]) })
	r := SeasonalTest{ZeroLo: math.NaN(), ZeroHi: math.NaN()}
	var slopes []float64
	var rises int64
	for len(order) > 0 {
		var st, sy []float64
		var sb []Bound
		now := season[order[0]]
		for len(order) > 0 && season[order[0]] == now {
			at := order[0]
			st, sy, sb = append(st, t[at]), append(sy, y[at]), append(sb, bound[at])
			order = order[1:]
		}
		if len(st) < fewestOfSeason {
			continue
		}
		p := newPairSlopes(st, sy, sb)
		a := p.tally()
		part := SeasonPart{Season: now, N: a.n, S: a.up - a.down, VarS: a.variance()}
		r.Seasons = append(r.Seasons, part)
		r.S, r.VarS, rises = r.S+part.S, r.VarS+part.VarS, rises+p.rises
		slopes = append(slopes, p.all()...)
		if p.plain { // lists each slope once
			slopes = append(slopes, p.all()...)
		}
	}
	r.Z, r.P, _ = normalTest(r.S, r.VarS)
	slices.Sort(slopes)
	if rises > 0 {
		r.ZeroLo = slopes[rises-1]
	}
	if rises < int64(len(slopes)) {
		r.ZeroHi = slopes[rises]
	}
	r.Slope = (r.ZeroLo + r.ZeroHi) / 2
	return r
}
