package trend

import (
	"math"
	"testing"
)

func TestIntervalChance(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct{ a, b, want float64 }{
		// Standard normal tables; digits from memory, 0.682689492137086 and 7.61985302416e-24 are in many of them.
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
		if got := intervalChance(c.a, c.b); math.Abs(got-c.want) > 1e-9*c.want {
			t.Errorf("[%v, %v]: %v, want %v", c.a, c.b, got, c.want)
		}
	}
}
