package trend

import (
	"math"
	"strings"
	"testing"
)

// weekly makes one observation a week from day 7 on. Negative values are limits: −0.02 is "<0.02".
func weekly(values ...float64) []Observation {
	var out []Observation
	for i, v := range values {
		o := Observation{Day: 7 * float64(i+1), Value: v, Lo: v, Hi: v, SD: 1}
		if v < 0 {
			o.Value, o.Lo, o.Hi, o.Bound = -v, math.Inf(-1), -v, Below
		}
		out = append(out, o)
	}
	return out
}

func noteWith(notes []Note, code string) string {
	for _, n := range notes {
		if n.Code == code {
			return n.Text
		}
	}
	return ""
}

// Eight readings, all different and falling but for one exchange: 27 of 28 pairs fall, S = −26. Orders of 8 with at
// most one inversion: 1 + 7 of 40320 (Kendall 1970, table 1), so p = 2·8/40320.
func TestRollingOfNumbers(t *testing.T) {
	obs := weekly(8.7, 8.6, 8.55, 8.5, 8.4, 8.45, 8.2, 8.1)
	r := RollingView(obs, 56, 56)
	if r.Method != "theil-sen" || r.N != 8 || r.S != -26 || !r.Exact || len(r.Notes) != 0 {
		t.Errorf("got %+v", r)
	}
	check(t, "p", r.P, 16.0/40320, 1e-12, 0)
	check(t, "tau", r.Tau, -26.0/28, 1e-12, 0)
	m := theilSen([]float64{7, 14, 21, 28, 35, 42, 49, 56}, []float64{8.7, 8.6, 8.55, 8.5, 8.4, 8.45, 8.2, 8.1}, 0.95, 0.8)
	check(t, "slope per week", r.SlopePerWeek, 7*m.Slope, 1e-12, 0)
	check(t, "lo", r.Lo, 7*m.Intervals[0].Lo, 1e-12, 0)
	check(t, "hi80", r.Hi80, 7*m.Intervals[1].Hi, 1e-12, 0)
	if r.AsLimits == nil || r.AsLimits.SlopePerWeek != r.SlopePerWeek || r.AsLimits.AsLimits != nil {
		t.Errorf("as limits: %+v", r.AsLimits)
	}
}

// The window is open at its old end and closed at the moment asked for; what comes later does not exist.
func TestRollingWindow(t *testing.T) {
	obs := weekly(1, 2, 3, 4, 5, 100, 100)
	if r := RollingView(obs, 35, 28); r.N != 4 || r.S != 6 {
		t.Errorf("(7, 35]: n = %d, S = %g; want 4 and 6", r.N, r.S)
	}
	if r := RollingView(obs, 34.99, 28); r.N != 4 || r.S != 6 {
		t.Errorf("(6.99, 34.99]: n = %d, S = %g; want 4 and 6", r.N, r.S)
	}
	if r := RollingView(obs, 6, 28); r.N != 0 {
		t.Errorf("before the first reading: n = %d", r.N)
	}
}

func TestRollingTooFew(t *testing.T) {
	for n := range 4 {
		r := RollingView(weekly(make([]float64, n)...), 100, 100)
		if r.Method != "" || r.N != n || !math.IsNaN(r.SlopePerWeek) || !math.IsNaN(r.P) || r.Exact || r.AsLimits != nil {
			t.Errorf("%d readings: %+v", n, r)
		}
		if text := noteWith(r.Notes, "too-few"); !strings.Contains(text, "needs 4 readings") {
			t.Errorf("%d readings: note %q", n, text)
		}
	}
}

// Four readings in a row: the range of the slopes misses the true one when all four happen to lie in order or against
// it, 2 of 24 times.
func TestRollingSaysWhatFourReadingsHold(t *testing.T) {
	r := RollingView(weekly(4, 3, 2.5, 1), 28, 56)
	if text := noteWith(r.Notes, "few-readings"); !strings.Contains(text, "holds only 92 %") {
		t.Errorf("note %q", text)
	}
	check(t, "p", r.P, 2.0/24, 1e-12, 0)
}

// The case n8_one_limit of censored_trend.json and, as limits, what Theil–Sen and Mann–Kendall say.
func TestRollingOfLimits(t *testing.T) {
	r := RollingView(weekly(0.056, 0.05, -0.04, 0.058, 0.052, -0.04, 0.041, -0.04), 56, 56)
	if r.Method != "akritas-theil-sen" || r.S != -11 || !r.Exact {
		t.Errorf("got %+v", r)
	}
	check(t, "slope per week", r.SlopePerWeek, 7*-0.0005142857142857142, 1e-9, 0)
	check(t, "tau", r.Tau, -0.39285714285714285, 1e-9, 0)
	check(t, "p", r.P, 0.21071428571428572, 1e-8, 0)
	y := []float64{0.056, 0.05, 0.04, 0.058, 0.052, 0.04, 0.041, 0.04}
	at := []float64{0, 7, 14, 21, 28, 35, 42, 49}
	m, k := theilSen(at, y, 0.95, 0.8), MannKendall(at, y)
	l := r.AsLimits
	if l == nil || l.Method != "theil-sen" || l.S != float64(k.S) || !l.Exact {
		t.Fatalf("as limits: %+v", l)
	}
	check(t, "as limits, slope", l.SlopePerWeek, 7*m.Slope, 1e-9, 0)
	check(t, "as limits, lo", l.Lo, 7*m.Intervals[0].Lo, 1e-9, 0)
	check(t, "as limits, tau", l.Tau, k.TauB, 1e-9, 0)
}

func TestRollingAllBelow(t *testing.T) {
	r := RollingView(weekly(-0.02, -0.02, -0.02, -0.02, -0.02), 35, 56)
	if !math.IsNaN(r.SlopePerWeek) || !math.IsInf(r.Lo, -1) || !math.IsInf(r.Hi, 1) || !math.IsNaN(r.P) {
		t.Errorf("got %+v", r)
	}
	if text := noteWith(r.Notes, "few-detected"); !strings.Contains(text, "not enough detected readings") ||
		!strings.Contains(text, "0 of 5") {
		t.Errorf("note %q", text)
	}
}

func TestRollingAllEqual(t *testing.T) {
	r := RollingView(weekly(8, 8, 8, 8, 8), 35, 56)
	if r.SlopePerWeek != 0 || !math.IsNaN(r.P) || noteWith(r.Notes, "constant") == "" {
		t.Errorf("got %+v", r)
	}
}

func TestRollingPanics(t *testing.T) {
	for _, window := range []float64{0, -1, math.NaN()} {
		mustPanic(t, "trend: RollingView", func() { RollingView(nil, 0, window) })
	}
}

func mustPanic(t *testing.T, prefix string, f func()) {
	t.Helper()
	defer func() {
		if text, ok := recover().(string); !ok || !strings.HasPrefix(text, prefix) {
			t.Errorf("panic %q, want one beginning with %q", text, prefix)
		}
	}()
	f()
}

// What an assessment of 60 readings, and a hindcast of weekly ones, call.
func BenchmarkRollingView(b *testing.B) {
	values := make([]float64, 60)
	_, y := benchCourse(60)
	for i := range values {
		values[i] = y[i]
		if y[i] < 7.7 {
			values[i] = -7.7
		}
	}
	numbers, limits := weekly(y...), weekly(values...)
	for _, c := range []struct {
		name   string
		obs    []Observation
		window float64
	}{{"8 numbers", numbers, 56}, {"8 with limits", limits, 56}, {"60 numbers", numbers, 500},
		{"60 with limits", limits, 500}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				RollingView(c.obs, 420, c.window)
			}
		})
	}
}
