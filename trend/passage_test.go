package trend

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The chance that a wobble stays above the floor, against simulated paths on a quarter-day grid: 6000 paths over two
// weeks, so that a standard error is at most 0.0065.
func TestQuietAgainstSimulatedWobbles(t *testing.T) {
	const theta, days, paths = 5.0, 14.0, 6000
	r := rand.New(rand.NewPCG(5, 6))
	decay := math.Exp(-0.25 / theta)
	kick := math.Sqrt(1 - decay*decay)
	for _, z := range []float64{1, 1.5, 2, 2.5} {
		above := 0
		for range paths {
			w := r.NormFloat64()
			lowest := w
			for range int(days * 4) {
				w = decay*w + kick*r.NormFloat64()
				lowest = min(lowest, w)
			}
			if lowest > -z {
				above++
			}
		}
		want := float64(above) / paths
		// the start itself must be above: Φ(z); then the days
		got := normalCDF(z) * math.Exp(days*logQuiet(z, theta))
		if math.Abs(got-want) > 0.03 {
			t.Errorf("%v standard deviations above: %.3f, simulated %.3f", z, got, want)
		}
	}
}
