package trend

import (
	"math"
	"testing"
)

func TestIntervalChance(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct{ a, b, want float64 }{
		// Standard normal tables; digits from memory, 0.682689492137086 is in many of them.
		{-1, 1, 0.682689492137086},
		{-inf, 0, 0.5},
		{-1.959963984540054, 1.959963984540054, 0.95},
		{10, inf, 7.61985302416053e-24},
		{-inf, -10, 7.61985302416053e-24},
		{-inf, inf, 1},
		{40, 41, 0},
		// a narrow interval is its width times the density, 0.3989422804014327 at 0
		{-1e-5, 1e-5, 2e-5 * 0.3989422804014327},
	} {
		if got := intervalChance(c.a, c.b); math.Abs(got-c.want) > 1e-8 {
			t.Errorf("[%v, %v]: %v, want %v", c.a, c.b, got, c.want)
		}
	}
	if got, want := intervalChance(-1e-5, 1e-5), 2e-5*0.3989422804014327; math.Abs(got/want-1) > 1e-5 {
		t.Errorf("a narrow interval has %v, want %v", got, want)
	}
}

func TestQuickNormal(t *testing.T) {
	for z := -9.0; z <= 9; z += 0.0137 {
		if got, want := quickCDF(z), normalCDF(z); math.Abs(got-want) > 1e-8 {
			t.Errorf("chance below %v: %v, want %v", z, got, want)
		}
		if got, want := quickPDF(z), normalPDF(z); math.Abs(got-want) > 2e-6 {
			t.Errorf("density at %v: %v, want %v", z, got, want)
		}
	}
}
