package trend

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// Rolling is the model-free view of the last Window days.
type Rolling struct {
	Method       string // "theil-sen", or "akritas-theil-sen" where readings are censored; "" when there is none
	WindowDays   float64
	N            int     // readings in the window
	SlopePerWeek float64 // canonical unit per week
	Lo, Hi       float64 // 95 % interval of the slope per week
	Lo80, Hi80   float64 // 80 % interval
	S            float64 // Kendall's S of value over time
	VarS         float64
	Tau          float64 // tau-b; tau-a where readings are censored
	Z            float64 // continuity-corrected
	P            float64 // two-sided; exact for small n
	Exact        bool    // P is exact
	// The same with every "<" taken as its limit, as much published work does; equal to the above when nothing is
	// censored.
	AsLimits *Rolling
	Notes    []Note
}

// fewestRolling is the fewest readings from which a slope is shown: with 3 not even three in a row of one direction
// tell anything (p = 0.33), with 4 the interval can hold 92 %.
const fewestRolling = 4

// RollingView says what the readings in the window (asOf − window, asOf] show without a model: the Theil–Sen slope with
// its 95 % and 80 % intervals and the Mann–Kendall test, or Akritas–Theil–Sen and Kendall's S with censoring where a
// reading is known only to be below or above a limit. See RankTrend, MannKendall and AkritasTheilSen.
//
// P is exact for up to 50 readings at different times that are all numbers and for up to 8 otherwise; beyond it is the
// normal one with continuity correction. Fewer than 4 readings in the window give NaN and a note of how many are
// missing.
//
// The intervals are for readings that scatter more than the method's steps. Simulated with steps as large as the
// scatter, and a course over one step in all, those at 95 % held 75 to 92 %, those at 80 % 52 to 76 %: ties pull slopes
// to zero.
//
// window is in days; obs must be in order of Day. RollingView panics on a window that is not above 0.
func RollingView(obs []Observation, asOf, window float64) Rolling {
	if !(window > 0) {
		panic(fmt.Sprintf("trend: RollingView: window of %v days", window))
	}
	from := sort.Search(len(obs), func(i int) bool { return obs[i].Day > asOf-window })
	to := sort.Search(len(obs), func(i int) bool { return obs[i].Day > asOf })
	in := obs[from:max(from, to)]
	if len(in) < fewestRolling {
		r := noRolling(window, len(in))
		r.Notes = []Note{{"too-few", fmt.Sprintf("rolling slope needs %d readings in %g days, has %d", fewestRolling, window,
			len(in))}}
		return r
	}
	t, y, bound := columns(in)
	m, k := RankTrend(t, y, 0.95, 0.8)
	limits := newRolling("theil-sen", window, m.Slope, m.Intervals, k.RankTest, m.Notes)
	limits.Tau = k.TauB
	r := limits
	if slices.ContainsFunc(bound, func(b Bound) bool { return b != Exact }) {
		c := AkritasTheilSen(t, y, bound, 0.95, 0.8)
		r = newRolling("akritas-theil-sen", window, c.Slope, c.Intervals, c.RankTest, c.Notes)
	}
	r.AsLimits = &limits
	return r
}

// noRolling is the view of too few readings.
func noRolling(window float64, n int) Rolling {
	nan := math.NaN()
	return Rolling{
		WindowDays: window, N: n, SlopePerWeek: nan, Lo: nan, Hi: nan, Lo80: nan, Hi80: nan,
		S: nan, VarS: nan, Tau: nan, Z: nan, P: nan,
	}
}

// newRolling is the view by a slope per day with its intervals at 95 % and 80 %, and by a test; it notes where the
// first interval cannot hold what it should.
func newRolling(method string, window, slope float64, in []Interval, k RankTest, notes []Note) Rolling {
	r := Rolling{
		Method: method, WindowDays: window, N: k.N, SlopePerWeek: 7 * slope,
		Lo: 7 * in[0].Lo, Hi: 7 * in[0].Hi, Lo80: 7 * in[1].Lo, Hi80: 7 * in[1].Hi,
		S: float64(k.S), VarS: k.VarS, Tau: k.TauA, Z: k.Z, Notes: notes,
	}
	r.P, r.Exact = k.P()
	if in[0].Attained < in[0].Level-attainedWithin {
		r.Notes = append(r.Notes, Note{"few-readings",
			fmt.Sprintf("with %d readings the 95 %% interval of the slope holds only %.0f %%", r.N, 100*in[0].Attained)})
	}
	return r
}
