package trend

import (
	"fmt"
	"math"
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
	// The same with every "<" taken as its limit, as much published work does; equal to the above when nothing is censored.
	AsLimits *Rolling
	Notes    []Note
}

// fewestRolling is the fewest readings from which a slope is shown: with 3 not even three in a row of one direction tell
// anything (p = 0.33), with 4 the interval can hold 92 %.
const fewestRolling = 4

// RollingView says what the readings in the window (asOf − window, asOf] show without a model: the Theil–Sen slope with
// its 95 % and 80 % intervals and the Mann–Kendall test, or Akritas–Theil–Sen and Kendall's S with censoring where a
// reading is known only to be below or above a limit. See RankTrend, MannKendall and AkritasTheilSen.
//
// P is exact, and Exact says so, for up to 50 readings at different times that are all numbers and for up to 8 otherwise;
// beyond it is the normal one with continuity correction. Interval ends are infinite where a censored window sets no bound.
// Fewer than 4 readings in the window give NaN and a note of how many are missing; a window whose readings cannot tell a
// slope, all "<" for one, gives a NaN slope and a note, never 0.
//
// The intervals are for readings that scatter more than the method's steps. Simulated with steps as large as the scatter, and
// a course over one step in all, those at 95 % held 75 to 92 %, those at 80 % 52 to 76 %: ties pull slopes to zero.
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
		r.Notes = []Note{{"too-few", fmt.Sprintf("rolling slope needs %d readings in %g days, has %d", fewestRolling, window, len(in))}}
		return r
	}
	t, y, bound := make([]float64, len(in)), make([]float64, len(in)), make([]Bound, len(in))
	censored := false
	for i, o := range in {
		t[i], y[i], bound[i] = o.Day, o.Value, o.Bound
		censored = censored || o.Bound != Exact
	}
	limits := rollingOfNumbers(t, y, window)
	if !censored {
		r := limits
		r.AsLimits = &limits
		return r
	}
	r := rollingOfLimits(t, y, bound, window)
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

func rollingOfNumbers(t, y []float64, window float64) Rolling {
	m, k := RankTrend(t, y, 0.95, 0.8)
	r := Rolling{
		Method: "theil-sen", WindowDays: window, N: len(t), SlopePerWeek: 7 * m.Slope,
		S: float64(k.S), VarS: k.VarS, Tau: k.TauB, Z: k.Z, Notes: m.Notes,
	}
	r.P, r.Exact = k.P()
	r.setIntervals(m.Intervals)
	return r
}

func rollingOfLimits(t, y []float64, bound []Bound, window float64) Rolling {
	c := AkritasTheilSen(t, y, bound, 0.95, 0.8)
	r := Rolling{
		Method: "akritas-theil-sen", WindowDays: window, N: len(t), SlopePerWeek: 7 * c.Slope,
		S: float64(c.S), VarS: c.VarS, Tau: c.TauA, Z: c.Z, Notes: c.Notes,
	}
	r.P, r.Exact = c.P()
	r.setIntervals(c.Intervals)
	return r
}

// setIntervals takes over the two intervals, and notes where the first cannot hold what it should.
func (r *Rolling) setIntervals(in []Interval) {
	r.Lo, r.Hi = 7*in[0].Lo, 7*in[0].Hi
	r.Lo80, r.Hi80 = 7*in[1].Lo, 7*in[1].Hi
	if in[0].Attained < in[0].Level-0.02 {
		r.Notes = append(r.Notes, Note{"few-readings", fmt.Sprintf("with %d readings the 95 %% interval of the slope holds only %.0f %%", r.N, 100*in[0].Attained)})
	}
}
