package trend

import (
	"math"
	"testing"
)

// linearTrend is a level with a slope, both of which wander, seen with noise, at irregular times: the textbook model
// for Gaussian noise and exact readings, with which others can be compared where they should say the same. Variances
// are in the square of the readings' unit, those of level and slope per day.
//
// References: A. C. Harvey, Forecasting, Structural Time Series Models and the Kalman Filter (1989), chapters 2 and 4;
// J. Durbin and S. J. Koopman, Time Series Analysis by State Space Methods (2nd ed. 2012), chapters 2 to 5; from
// memory.
type linearTrend struct {
	ObsVar, LevelVar, SlopeVar float64
	// Daily lets the noise enter once at the end of every whole day, as software for regular series does; otherwise it
	// enters all the time. Gaps must then be whole days for the two to be comparable.
	Daily bool
}

// trendState is what is believed of level and slope (per day): mean and covariance.
type trendState struct {
	Level, Slope               float64
	VarLevel, Cov, VarSlope    float64
	Innovation, InnovationVar  float64 // of the reading last seen; NaN before
	diffuseReadings, diffuseAt float64 // how many readings a diffuse start has seen, and when the first was
}

// diffuseTrend knows nothing of level and slope: the first two readings are used up to find them. They must not be at
// the same moment.
func diffuseTrend() trendState {
	nan := math.NaN()
	return trendState{nan, nan, nan, nan, nan, nan, nan, 0, nan}
}

// noise is the covariance of what the wandering adds over some days:
//
//	continuous: [ql·k + qs·k³/3, qs·k²/2; ·, qs·k]
//	daily:      [ql·k + qs·k(k−1)(2k−1)/6, qs·k(k−1)/2; ·, qs·k]
func (m linearTrend) noise(k float64) (level, cov, slope float64) {
	if m.Daily {
		return m.LevelVar*k + m.SlopeVar*k*(k-1)*(2*k-1)/6, m.SlopeVar * k * (k - 1) / 2, m.SlopeVar * k
	}
	return m.LevelVar*k + m.SlopeVar*k*k*k/3, m.SlopeVar * k * k / 2, m.SlopeVar * k
}

// ahead is the state some days later, nothing having been seen. A state that is still diffuse stays so.
func (m linearTrend) ahead(s trendState, days float64) trendState {
	level, cov, slope := m.noise(days)
	s.Level += days * s.Slope
	s.VarLevel += 2*days*s.Cov + days*days*s.VarSlope + level
	s.Cov += days*s.VarSlope + cov
	s.VarSlope += slope
	return s
}

// see is the state once the reading y is known.
func (m linearTrend) see(s trendState, y float64) trendState {
	s.Innovation, s.InnovationVar = y-s.Level, s.VarLevel+m.ObsVar
	gainLevel, gainSlope := s.VarLevel/s.InnovationVar, s.Cov/s.InnovationVar
	s.Level += gainLevel * s.Innovation
	s.Slope += gainSlope * s.Innovation
	s.VarSlope -= gainSlope * s.Cov
	s.VarLevel *= m.ObsVar / s.InnovationVar
	s.Cov *= m.ObsVar / s.InnovationVar
	return s
}

// begin is see for the two readings that a diffuse start uses up.
func (m linearTrend) begin(s trendState, t, y float64) trendState {
	if s.diffuseReadings == 0 {
		s.Level, s.diffuseReadings, s.diffuseAt = y, 1, t
		return s
	}
	k := t - s.diffuseAt
	level, cov, slope := m.noise(k)
	r := m.ObsVar
	return trendState{
		Level: y, Slope: (y - s.Level) / k,
		VarLevel: r, Cov: r / k, VarSlope: (2*r+level)/(k*k) + slope - 2*cov/k,
		Innovation: math.NaN(), InnovationVar: math.NaN(), diffuseReadings: 2,
	}
}

// filter runs the Kalman filter over readings y at times t (days, ascending) from a state that holds at t[0], and
// returns the state after each reading with the log-likelihood, which leaves out the two readings that a diffuse start
// uses up.
func (m linearTrend) filter(start trendState, t, y []float64) (rows []trendState, loglik float64) {
	rows = make([]trendState, len(t))
	s := start
	diffuse := math.IsNaN(start.VarLevel)
	for i := range t {
		if diffuse && i < 2 {
			s = m.begin(s, t[i], y[i])
			rows[i] = s
			continue
		}
		if i > 0 {
			s = m.ahead(s, t[i]-t[i-1])
		}
		s = m.see(s, y[i])
		loglik += logDensity(s.Innovation, s.InnovationVar)
		rows[i] = s
	}
	return rows, loglik
}

// daysToZero is the number of days after which the mean level is zero; NaN where it does not fall towards it.
func (s trendState) daysToZero() float64 {
	if days := -s.Level / s.Slope; days > 0 {
		return days
	}
	return math.NaN()
}

// logDensity is the log density of a normal variable of mean zero.
func logDensity(x, variance float64) float64 {
	return -0.5 * (math.Log(2*math.Pi*variance) + x*x/variance)
}

// stateSpaceCase is a case of testdata/reference/state_space.json, whose head names software and sources: own Kalman
// filter in Python, statsmodels 0.13.5 and R 4.2.2, which agree to about 1e-13.
type stateSpaceCase struct {
	ID             string
	Discretisation string
	T              []float64
	Y              []*float64
	ObsVar         float64   `json:"obs_var"`
	LevelVarPerDay float64   `json:"level_var_per_day"`
	SlopeVarPerDay float64   `json:"slope_var_per_day"`
	A1             []float64 `json:"a1"`
	P1             [][]float64
	Expected       struct {
		Filtered   [][]*float64
		Loglik     float64
		Forecast   [][]float64
		DaysToZero *float64 `json:"days_to_zero_of_mean"`
	}
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

func TestLinearTrendAgainstReference(t *testing.T) {
	for _, c := range reference[stateSpaceCase](t, "state_space.json") {
		y := numbers(c.Y)
		size := largest(y)
		m := linearTrend{c.ObsVar, c.LevelVarPerDay, c.SlopeVarPerDay, c.Discretisation == "daily_grid"}
		start := diffuseTrend()
		if c.A1 != nil {
			start = trendState{Level: c.A1[0], Slope: c.A1[1], VarLevel: c.P1[0][0], Cov: c.P1[0][1], VarSlope: c.P1[1][1]}
		}
		rows, loglik := m.filter(start, c.T, y)
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
			a := m.ahead(last, f[0])
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
		if got := last.daysToZero(); math.IsNaN(got) != math.IsNaN(want) || !near(got, want, 1) {
			t.Errorf("%s: %v days to zero, want %v", c.ID, got, want)
		}
	}
}
