package trend

import "testing"

type kendallCase struct {
	ID       string
	T, Y     []float64
	Expected struct {
		S, Concordant, Discordant int64
		TiedT                     int64   `json:"tied_pairs_t"`
		TiedY                     int64   `json:"tied_pairs_y"`
		TauB                      orNaN   `json:"tau_b"`
		TauA                      orNaN   `json:"tau_a"`
		VarS                      float64 `json:"var_S"`
		VarSYTies                 float64 `json:"var_S_classic_y_ties_only"`
		Z                         float64 `json:"z_cc"`
		PNormal                   orNaN   `json:"p_normal_cc"`
		PExact                    orNaN   `json:"p_exact"`
	}
}

// Made with scipy 1.10.1 and R 4.2.2. Integers exact, variances and tau to 1e-9, p-values to 1e-8 relative.
func TestMannKendallReference(t *testing.T) {
	for _, c := range reference[kendallCase](t, "mann_kendall.json") {
		t.Run(c.ID, func(t *testing.T) {
			k, want := MannKendall(c.T, c.Y), c.Expected
			a := newPairSlopes(c.T, c.Y, nil).tally()
			got := [...]int64{k.S, a.up, a.down, a.times.pairs, a.values.pairs}
			if w := [...]int64{want.S, want.Concordant, want.Discordant, want.TiedT, want.TiedY}; got != w {
				t.Errorf("S, concordant, discordant, ties = %v, want %v", got, w)
			}
			check(t, "tau-b", k.TauB, float64(want.TauB), 1e-9, 0)
			check(t, "tau-a", k.TauA, float64(want.TauA), 1e-9, 0)
			check(t, "var S", k.VarS, want.VarS, 1e-9, 0)
			check(t, "var S, ties in y only", k.VarSYTies, want.VarSYTies, 1e-9, 0)
			check(t, "z", k.Z, want.Z, 1e-9, 0)
			check(t, "p", k.PNormal, float64(want.PNormal), 1e-8, 0)
			if want.TiedT+want.TiedY == 0 { // the file has no exact p with ties; see TestExactByEnumeration
				check(t, "exact p", k.PExact, float64(want.PExact), 1e-8, 0)
			}
		})
	}
}
