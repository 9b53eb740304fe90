package trend

import "testing"

type censoredCase struct {
	ID       string
	T, Value []float64
	Censored []bool
	Expected struct {
		Censored      int   `json:"censored_count"`
		DetectedPairs int64 `json:"pairs_detect_detect"`
		LimitPairs    int64 `json:"pairs_detect_censored"`
		Slope         orNaN
		Zero          []orNaN `json:"slope_zero_interval"`
		S             int64
		TauA          float64 `json:"tau_a"`
		VarS          float64 `json:"var_S"`
		Z             float64 `json:"z_cc"`
		PNormal       orNaN   `json:"p_normal_cc"`
		PExact        orNaN   `json:"p_exact"`
	}
}

func belows(censored []bool) []Bound {
	out := make([]Bound, len(censored))
	for i, c := range censored {
		if c {
			out[i] = Below
		}
	}
	return out
}

// Made with an own walk over pair slopes in Python and by bisection in R 4.2.2. Integers exact, slopes
// 1e-9, p 1e-8 relative.
func TestAkritasTheilSenReference(t *testing.T) {
	for _, c := range reference[censoredCase](t, "censored_trend.json") {
		t.Run(c.ID, func(t *testing.T) {
			got, want := AkritasTheilSen(c.T, c.Value, belows(c.Censored), 0.95), c.Expected
			abs := 1e-12 * size(c.Value)
			p := newPairSlopes(c.T, c.Value, belows(c.Censored))
			numbers := p.weight - p.pairs // pairs of them weigh twice
			if got.N-got.Detected != want.Censored || numbers != want.DetectedPairs || p.pairs-numbers != want.LimitPairs ||
				got.S != want.S {
				t.Errorf("censored, pairs, S = %d %d %d %d, want %d %d %d %d", got.N-got.Detected, numbers, p.pairs-numbers,
					got.S, want.Censored, want.DetectedPairs, want.LimitPairs, want.S)
			}
			check(t, "slope", got.Slope, float64(want.Slope), 1e-9, abs)
			check(t, "zero from", got.ZeroLo, float64(want.Zero[0]), 1e-9, abs)
			check(t, "zero to", got.ZeroHi, float64(want.Zero[1]), 1e-9, abs)
			check(t, "tau-a", got.TauA, want.TauA, 1e-9, 0)
			check(t, "var S", got.VarS, want.VarS, 1e-9, 0)
			check(t, "z", got.Z, want.Z, 1e-9, 0)
			check(t, "p", got.PNormal, float64(want.PNormal), 1e-8, 0)
			if len(c.T) <= 8 {
				check(t, "exact p", got.PExact, float64(want.PExact), 1e-8, 0)
			}
		})
	}
}
