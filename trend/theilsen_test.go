package trend

import "testing"

type theilSenCase struct {
	ID       string
	T, Y     []float64
	Expected struct {
		Pairs              int64 `json:"pairs_used"`
		Slope              float64
		InterceptMedians   float64 `json:"intercept_separate"`
		InterceptResiduals float64 `json:"intercept_joint"`
		CI95, CI80         []orNaN
	}
}

// Made with scipy 1.10.1 theilslopes, and R 4.2.2. Relative 1e-9; near zero 1e-12 of the size of y.
func TestTheilSenReference(t *testing.T) {
	for _, c := range reference[theilSenCase](t, "theil_sen.json") {
		t.Run(c.ID, func(t *testing.T) {
			checkMedianSlope(t, c, TheilSen(c.T, c.Y, 0.95, 0.8))
		})
	}
}

func checkMedianSlope(t *testing.T, c theilSenCase, m MedianSlope) {
	t.Helper()
	abs := 1e-12 * size(c.Y)
	if m.Pairs != c.Expected.Pairs {
		t.Errorf("pairs = %d, want %d", m.Pairs, c.Expected.Pairs)
	}
	check(t, "slope", m.Slope, c.Expected.Slope, 1e-9, abs)
	check(t, "intercept of medians", m.InterceptMedians, c.Expected.InterceptMedians, 1e-9, abs)
	check(t, "intercept of residuals", m.InterceptResiduals, c.Expected.InterceptResiduals, 1e-9, abs)
	for i, want := range [][]orNaN{c.Expected.CI95, c.Expected.CI80} {
		check(t, "lower limit", m.Intervals[i].Lo, float64(want[0]), 1e-9, abs)
		check(t, "upper limit", m.Intervals[i].Hi, float64(want[1]), 1e-9, abs)
	}
}
