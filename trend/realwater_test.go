package trend

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"
)

type realCase struct {
	ID, File string
	N        int
	Censored int
	Limits   struct {
		Slope float64 `json:"theil_sen_slope_per_day"`
		CI95  []float64
		CI80  []float64
		OLS   float64 `json:"ols_slope_per_day"`
		OLSSE float64 `json:"ols_slope_se"`
		S     int64
		VarS  float64 `json:"var_S"`
		TauB  float64 `json:"tau_b"`
		Z     float64 `json:"z_cc"`
		P     float64 `json:"p_normal_cc"`
	} `json:"limits_as_values"`
	Aware struct {
		Slope float64    `json:"ats_slope_per_day"`
		Zero  [2]float64 `json:"slope_zero_interval"`
		S     int64
		VarS  float64 `json:"var_S"`
		Z     float64 `json:"z_cc"`
		P     float64 `json:"p_normal_cc"`
	} `json:"censored_aware"`
}

// Two series of a river (their source stands in testdata/reference/README.md); values made with scipy and R. Slopes
// 1e-9 relative or 1e-12 of y, p 1e-8.
func TestRealWater(t *testing.T) {
	for _, c := range reference[realCase](t, "real_water.json") {
		t.Run(c.ID, func(t *testing.T) {
			at, y, bound := readWater(t, c.File)
			abs := 1e-12 * size(y)
			if len(y) != c.N {
				t.Fatalf("%d readings, want %d", len(y), c.N)
			}
			m, k, want := theilSen(at, y, 0.95, 0.8), MannKendall(at, y), c.Limits
			check(t, "slope", m.Slope, want.Slope, 1e-9, abs)
			for i, ci := range [][]float64{want.CI95, want.CI80} {
				check(t, "lo", m.Intervals[i].Lo, ci[0], 1e-9, abs)
				check(t, "hi", m.Intervals[i].Hi, ci[1], 1e-9, abs)
			}
			l := FitLine(at, y)
			check(t, "least squares", l.Slope, want.OLS, 1e-9, abs)
			check(t, "least squares se", l.SlopeSE, want.OLSSE, 1e-9, abs)
			checkReal(t, k.S, want.S, k.VarS, want.VarS, k.Z, want.Z, k.PNormal, want.P)
			check(t, "tau", k.TauB, want.TauB, 1e-9, 0)

			a := AkritasTheilSen(at, y, bound, 0.95)
			check(t, "censored slope", a.Slope, c.Aware.Slope, 1e-9, abs)
			check(t, "zero from", a.ZeroLo, c.Aware.Zero[0], 1e-9, abs)
			check(t, "zero to", a.ZeroHi, c.Aware.Zero[1], 1e-9, abs)
			checkReal(t, a.S, c.Aware.S, a.VarS, c.Aware.VarS, a.Z, c.Aware.Z, a.PNormal, c.Aware.P)
		})
	}
}

func checkReal(t *testing.T, s, wantS int64, variance, wantVariance, z, wantZ, p, wantP float64) {
	t.Helper()
	if s != wantS {
		t.Errorf("S = %d, want %d", s, wantS)
	}
	check(t, "var S", variance, wantVariance, 1e-9, 0)
	check(t, "z", z, wantZ, 1e-9, 0)
	check(t, "p", p, wantP, 1e-8, 0)
}

// readWater reads date,value,censored,unit; t is whole days since 1970.
func readWater(t *testing.T, name string) (at, y []float64, bound []Bound) {
	t.Helper()
	file, err := os.Open(filepath.Join("..", "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		day, err := time.Parse(time.DateOnly, row[0])
		if err != nil {
			t.Fatal(err)
		}
		v, err := strconv.ParseFloat(row[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		at, y = append(at, float64(day.Unix()/86_400)), append(y, v)
		bound = append(bound, belows([]bool{row[2] == "true"})[0])
	}
	return at, y, bound
}
