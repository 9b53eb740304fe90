package alerts

import (
	"math"
	"strings"
	"testing"

	"leadline/trend"
)

// demands are those of a tank, with intervals of so many percent either way.
func demands(dKH, calcium, percent float64) *Calcification {
	of := func(v float64) Demand {
		return Demand{Estimate: trend.Demand{PerDay: v, Lo: v * (1 - percent/100), Hi: v * (1 + percent/100)}}
	}
	c := &Calcification{Alkalinity: of(dKH), Calcium: of(calcium)}
	c.weigh()
	return c
}

// 1 dKH goes with 7.14696 mg/L of calcium into calcium carbonate, 2 moles to 1 (testdata/reference/dosing.json,
// calcification). Whether a ratio is out of the ordinary depends on how well it is known.
func TestCalcificationRatio(t *testing.T) {
	for _, c := range []struct {
		dKH, calcium, percent float64
		ratio                 float64
		verdict, word         string
	}{
		{1, 7.14696, 5, 2, "fits", "fit each other"},
		{2, 14.29392, 5, 2, "fits", "fit each other"},
		{1, 9.5, 3, 1.5046, "low", "less alkalinity than calcium"}, // 2 × 7.14696 / 9.5 (computed)
		{1, 9.5, 30, 1.5046, "fits", "fit each other"},
		{1, 5, 3, 2.8588, "high", "more alkalinity than calcium"},
		{1, 7, 100, math.NaN(), "unknown", "not clearly above zero"},
		{-0.1, 7, 5, math.NaN(), "unknown", "not clearly above zero"},
	} {
		got := demands(c.dKH, c.calcium, c.percent)
		if math.IsNaN(got.Ratio) != math.IsNaN(c.ratio) || math.Abs(got.Ratio-c.ratio) > 1e-4 {
			t.Errorf("%+v: ratio %v", c, got.Ratio)
		}
		if got.Verdict() != c.verdict {
			t.Errorf("%+v: %s (%v to %v)", c, got.Verdict(), got.Lo, got.Hi)
		}
		if text := strings.Join(got.Text(), "\n"); !strings.Contains(text, c.word) {
			t.Errorf("%+v: %s", c, text)
		}
		if mismatch := c.verdict == "low" ||
			c.verdict == "high"; mismatch != strings.Contains(strings.Join(got.Text(), ""), "common practice") {
			t.Errorf("%+v: a guess is to be marked as one, and only a guess", c)
		}
	}
}
