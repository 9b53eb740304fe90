package trend

import (
	"math"
	"strings"
	"testing"
)

type theilSenCase struct {
	ID       string
	T, Y     []float64
	Expected struct {
		Pairs      int64 `json:"pairs_used"`
		Slope      float64
		CI95, CI80 []orNaN
	}
}

// Made with scipy 1.10.1 theilslopes, and R 4.2.2. Relative 1e-9; near zero 1e-12 of the size of y.
func TestTheilSenReference(t *testing.T) {
	for _, c := range reference[theilSenCase](t, "theil_sen.json") {
		t.Run(c.ID, func(t *testing.T) {
			checkMedianSlope(t, c, theilSen(c.T, c.Y, 0.95, 0.8))
		})
	}
}

// theilSen is the slope of RankTrend alone.
func theilSen(t, y []float64, levels ...float64) MedianSlope {
	m, _ := RankTrend(t, y, levels...)
	return m
}

func checkMedianSlope(t *testing.T, c theilSenCase, m MedianSlope) {
	t.Helper()
	abs := 1e-12 * size(c.Y)
	if p := newPairSlopes(c.T, c.Y, nil); p.pairs != c.Expected.Pairs {
		t.Errorf("pairs = %d, want %d", p.pairs, c.Expected.Pairs)
	}
	check(t, "slope", m.Slope, c.Expected.Slope, 1e-9, abs)
	for i, want := range [][]orNaN{c.Expected.CI95, c.Expected.CI80} {
		check(t, "lower limit", m.Intervals[i].Lo, float64(want[0]), 1e-9, abs)
		check(t, "upper limit", m.Intervals[i].Hi, float64(want[1]), 1e-9, abs)
	}
}

func TestTheilSenEdges(t *testing.T) {
	for n := range 3 { // none, one, and two at one time
		m := theilSen([]float64{5, 5}[:n], []float64{1, 2}[:n], 0.95)
		if !math.IsNaN(m.Slope) || !math.IsNaN(m.Intervals[0].Lo) ||
			!strings.Contains(noteWith(m.Notes, "too-few"), "needs readings at 2 different times") {
			t.Errorf("%d readings: %+v", n, m)
		}
	}
	m := theilSen([]float64{0, 2}, []float64{1, 2}, 0.95)
	if m.Slope != 0.5 || m.Intervals[0].Lo != 0.5 || m.Intervals[0].Attained > 1e-9 {
		t.Errorf("two readings: %+v", m)
	}
	mustPanic(t, "trend: RankTrend", func() { theilSen([]float64{1}, nil) })
	mustPanic(t, "trend: RankTrend", func() { theilSen([]float64{1}, []float64{math.Inf(1)}) })
	mustPanic(t, "trend: RankTrend", func() { theilSen(nil, nil, 95) })
	mustPanic(t, "trend: MannKendall", func() { MannKendall([]float64{math.NaN()}, []float64{1}) })
	mustPanic(t, "trend: AkritasTheilSen", func() { AkritasTheilSen([]float64{1}, []float64{1}, nil) })
}

// What the rank interval holds, for readings at different times: with 4 it is the range of all slopes, missed 2 times
// in 24; with 5, 2 in 120 (Sen 1968 gives the same from Kendall's table).
func TestTheilSenAttained(t *testing.T) {
	for n, want := range map[int]float64{3: 1 - 2.0/6, 4: 1 - 2.0/24, 5: 1 - 2.0/120} {
		m := theilSen(places(n), []float64{3, 1, 4, 1.5, 9}[:n], 0.95)
		check(t, "attained", m.Intervals[0].Attained, want, 1e-12, 0)
	}
	for _, n := range []int{10, 20, 21, 60} {
		_, y := benchCourse(n)
		for _, in := range theilSen(places(n), y, 0.95, 0.8).Intervals {
			check(t, "attained", in.Attained, in.Level, 0, 0.05) // S moves in steps
		}
	}
}

// places are 0, 1, 2 …: times of which only the order counts.
func places(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = float64(i)
	}
	return out
}
