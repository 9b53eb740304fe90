package trend

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

// stateSpaceCase is a case of testdata/reference/state_space.json, whose head names software and sources: own Kalman
// filter in Python, statsmodels 0.13.5 and R 4.2.2, which agree to about 1e-13.
type stateSpaceCase struct {
	ID             string
	Kind           string
	Discretisation string
	T              []float64
	Y              []*float64
	ObsVar         float64   `json:"obs_var"`
	LevelVar       float64   `json:"level_var"`
	LevelVarPerDay float64   `json:"level_var_per_day"`
	SlopeVarPerDay float64   `json:"slope_var_per_day"`
	A1             []float64 `json:"a1"`
	P1             [][]float64
	Expected       struct {
		PredictedLevel []*float64 `json:"predicted_level"`
		PredictedVar   []*float64 `json:"predicted_var"`
		Innovation     []*float64
		InnovationVar  []*float64 `json:"innovation_var"`
		FilteredLevel  []*float64 `json:"filtered_level"`
		FilteredVar    []*float64 `json:"filtered_var"`
		SmoothedLevel  []*float64 `json:"smoothed_level"`
		SmoothedVar    []*float64 `json:"smoothed_var"`
		LoglikFrom2    float64    `json:"loglik_readings_2_to_n"`
		LoglikDiffuse  float64    `json:"loglik_incl_diffuse_constant"`
		Filtered       [][]*float64
		Loglik         float64
		Forecast       [][]float64
		DaysToZero     *float64 `json:"days_to_zero_of_mean"`
	}
	MLE map[string]struct {
		ObsVar   float64 `json:"obs_var"`
		LevelVar float64 `json:"level_var"`
		Loglik   float64
	}
}

func stateSpaceCases(t *testing.T, kind string) []stateSpaceCase {
	t.Helper()
	raw, err := os.ReadFile("../testdata/reference/state_space.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Cases []stateSpaceCase }
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	var out []stateSpaceCase
	for _, c := range file.Cases {
		if c.Kind == kind {
			out = append(out, c)
		}
	}
	if len(out) == 0 {
		t.Fatalf("no case of kind %s", kind)
	}
	return out
}

func numbers(p []*float64) []float64 {
	out := make([]float64, len(p))
	for i, v := range p {
		out[i] = math.NaN()
		if v != nil {
			out[i] = *v
		}
	}
	return out
}

// near is relative 1e-9, absolute 1e-12 of the size of the series near zero, as the reference's README supports.
func near(got, want, size float64) bool {
	if math.IsNaN(want) {
		return true // not given by the reference
	}
	return math.Abs(got-want) <= 1e-9*math.Abs(want)+1e-12*size
}

func largest(y []float64) float64 {
	m := 0.0
	for _, v := range y {
		if math.Abs(v) > m {
			m = math.Abs(v)
		}
	}
	return m
}

func TestLocalLevelAgainstReference(t *testing.T) {
	for _, c := range stateSpaceCases(t, "local_level") {
		y := numbers(c.Y)
		size := largest(y)
		m := LocalLevel{c.ObsVar, c.LevelVar}
		rows, loglik := m.Filter(y)
		smooth, smoothVar := m.Smooth(rows)
		e := c.Expected
		for i, r := range rows {
			for _, x := range []struct {
				what      string
				got, want float64
			}{
				{"predicted level", r.Predicted, numbers(e.PredictedLevel)[i]},
				{"predicted variance", r.PredictedVar, numbers(e.PredictedVar)[i]},
				{"innovation", r.Innovation, numbers(e.Innovation)[i]},
				{"innovation variance", r.InnovationVar, numbers(e.InnovationVar)[i]},
				{"filtered level", r.Level, numbers(e.FilteredLevel)[i]},
				{"filtered variance", r.LevelVar, numbers(e.FilteredVar)[i]},
				{"smoothed level", smooth[i], numbers(e.SmoothedLevel)[i]},
				{"smoothed variance", smoothVar[i], numbers(e.SmoothedVar)[i]},
			} {
				if !near(x.got, x.want, size) {
					t.Errorf("%s reading %d: %s %v, want %v", c.ID, i+1, x.what, x.got, x.want)
				}
			}
		}
		if !near(loglik, e.LoglikFrom2, 1) || !near(loglik-0.5*math.Log(2*math.Pi), e.LoglikDiffuse, 1) {
			t.Errorf("%s: log-likelihood %v, want %v", c.ID, loglik, e.LoglikFrom2)
		}
		last := rows[len(rows)-1]
		for _, f := range e.Forecast { // steps, mean, variance of level, variance of a reading
			v := last.LevelVar + f[0]*m.LevelVar
			if !near(last.Level, f[1], size) || !near(v, f[2], 1) || !near(v+m.ObsVar, f[3], 1) {
				t.Errorf("%s: forecast %v steps ahead: %v, %v", c.ID, f[0], last.Level, v)
			}
		}
	}
}

// The variances of the Nile series: 15099 and 1469.1 in Durbin and Koopman (2012) as quoted in the reference file, which
// adds what statsmodels and R find. The likelihood is flat: relative 1e-3.
func TestFitLocalLevelFindsTheNileVariances(t *testing.T) {
	c := stateSpaceCases(t, "local_level")[0]
	m, loglik := FitLocalLevel(numbers(c.Y))
	for name, want := range c.MLE {
		if math.Abs(m.ObsVar/want.ObsVar-1) > 1e-3 || math.Abs(m.LevelVar/want.LevelVar-1) > 1e-3 {
			t.Errorf("variances %+v, %s has %+v", m, name, want)
		}
	}
	// No likelihood can beat the maximum: the one at the published variances must not.
	if _, at := (LocalLevel{15099, 1469.1}).Filter(numbers(c.Y)); loglik < at {
		t.Errorf("log-likelihood %v is less than %v at the published variances", loglik, at)
	}
	if m, l := FitLocalLevel([]float64{1, math.NaN(), 2}); !math.IsNaN(m.ObsVar) || !math.IsNaN(l) {
		t.Errorf("two readings give %+v", m)
	}
}

func TestLinearTrendAgainstReference(t *testing.T) {
	for _, c := range stateSpaceCases(t, "local_linear_trend") {
		y := numbers(c.Y)
		size := largest(y)
		m := LinearTrend{c.ObsVar, c.LevelVarPerDay, c.SlopeVarPerDay, c.Discretisation == "daily_grid"}
		start := DiffuseTrend()
		if c.A1 != nil {
			start = TrendState{Level: c.A1[0], Slope: c.A1[1], VarLevel: c.P1[0][0], Cov: c.P1[0][1], VarSlope: c.P1[1][1]}
		}
		rows, loglik := m.Filter(start, c.T, y)
		for i, r := range rows {
			got := []float64{r.Innovation, r.InnovationVar, r.Level, r.Slope, r.VarLevel, r.Cov, r.VarSlope}
			for j, want := range numbers(c.Expected.Filtered[i]) {
				if !near(got[j], want, size) {
					t.Errorf("%s reading %d column %d: %v, want %v", c.ID, i+1, j, got[j], want)
				}
			}
		}
		if !near(loglik, c.Expected.Loglik, 1) {
			t.Errorf("%s: log-likelihood %v, want %v", c.ID, loglik, c.Expected.Loglik)
		}
		last := rows[len(rows)-1]
		for _, f := range c.Expected.Forecast { // days, mean, variance of level, of a reading, chance at or below zero
			a := m.Ahead(last, f[0])
			// the chance is exponentially sensitive far out, hence 1e-6 for it
			p := normalCDF(-a.Level / math.Sqrt(a.VarLevel))
			if !near(a.Level, f[1], size) || !near(a.VarLevel, f[2], size*size) || !near(a.VarLevel+m.ObsVar, f[3], size*size) ||
				math.Abs(p-f[4]) > 1e-6*f[4]+1e-300 {
				t.Errorf("%s: %v days ahead: %v, %v, chance %v, want %v", c.ID, f[0], a.Level, a.VarLevel, p, f)
			}
		}
		want := math.NaN()
		if c.Expected.DaysToZero != nil {
			want = *c.Expected.DaysToZero
		}
		if got := last.DaysToZero(); math.IsNaN(got) != math.IsNaN(want) || !near(got, want, 1) {
			t.Errorf("%s: %v days to zero, want %v", c.ID, got, want)
		}
	}
}
