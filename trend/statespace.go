package trend

import "math"

// This file holds the two textbook models that the engine grew out of, with linear motion, Gaussian noise and exact
// readings: small enough to be checked against other software to the last digits. The study uses the second as the rival
// to beat.
//
// References: A. C. Harvey, Forecasting, Structural Time Series Models and the Kalman Filter (1989), chapters 2 and 4;
// J. Durbin and S. J. Koopman, Time Series Analysis by State Space Methods (2nd ed. 2012), chapters 2 to 5; from memory.

// LocalLevel is a level that takes a random step between one reading and the next, seen with noise:
//
//	reading_i = level_i + noise, level_{i+1} = level_i + step
//
// with variances ObsVar and LevelVar in the square of the readings' unit. The level before the first reading is diffuse.
type LocalLevel struct{ ObsVar, LevelVar float64 }

// LevelState is one reading's row of a LocalLevel: what was predicted for the level, by how much the reading missed it,
// and what is believed after. Predicted values and innovation are NaN up to and with the first reading present; the
// innovation is NaN for a missing one.
type LevelState struct {
	Predicted, PredictedVar   float64
	Innovation, InnovationVar float64
	Level, LevelVar           float64
}

// Filter runs the Kalman filter over readings, NaN being a missing one, and returns a row for each with the log-likelihood
// of all readings present but the first, which the diffuse start uses up.
func (m LocalLevel) Filter(y []float64) (rows []LevelState, loglik float64) {
	nan := math.NaN()
	rows = make([]LevelState, len(y))
	level, variance, begun := nan, nan, false
	for i, v := range y {
		r := LevelState{nan, nan, nan, nan, level, variance}
		if begun {
			variance += m.LevelVar
			r.Predicted, r.PredictedVar = level, variance
			r.InnovationVar = variance + m.ObsVar
		}
		switch {
		case math.IsNaN(v):
		case !begun:
			level, variance, begun = v, m.ObsVar, true
		default:
			r.Innovation = v - level
			loglik += logDensity(r.Innovation, r.InnovationVar)
			gain := variance / r.InnovationVar
			level += gain * r.Innovation
			variance *= m.ObsVar / r.InnovationVar
		}
		r.Level, r.LevelVar = level, variance
		rows[i] = r
	}
	return rows, loglik
}

// logDensity is the log density of a normal variable of mean zero.
func logDensity(x, variance float64) float64 {
	return -0.5 * (math.Log(2*math.Pi*variance) + x*x/variance)
}

// Smooth turns the rows of Filter into the level at each reading given all readings (Rauch, Tung and Striebel). Rows
// before the first reading present stay NaN.
func (m LocalLevel) Smooth(rows []LevelState) (level, variance []float64) {
	n := len(rows)
	level, variance = make([]float64, n), make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		level[i], variance[i] = rows[i].Level, rows[i].LevelVar
		if i == n-1 || math.IsNaN(rows[i].Level) {
			continue
		}
		next := rows[i].LevelVar + m.LevelVar
		back := 0.0
		if next > 0 {
			back = rows[i].LevelVar / next
		}
		level[i] += back * (level[i+1] - rows[i].Level)
		variance[i] += back * back * (variance[i+1] - next)
	}
	return level, variance
}

// FitLocalLevel gives the variances under which the readings (NaN: missing) are likeliest, and that log-likelihood. For a
// given ratio of the two variances the best size is known in closed form, so that one number is searched for: the
// logarithm of the ratio, on a grid and then by golden section. With fewer than three readings present it gives NaN.
func FitLocalLevel(y []float64) (m LocalLevel, loglik float64) {
	present := 0
	for _, v := range y {
		if !math.IsNaN(v) {
			present++
		}
	}
	if present < 3 {
		return LocalLevel{math.NaN(), math.NaN()}, math.NaN()
	}
	best := func(logRatio float64) (LocalLevel, float64) {
		unit := LocalLevel{1, math.Exp(logRatio)}
		rows, _ := unit.Filter(y)
		sum, n := 0.0, 0.0
		for _, r := range rows {
			if !math.IsNaN(r.Innovation) {
				sum += sq(r.Innovation) / r.InnovationVar
				n++
			}
		}
		size := sum / n
		fitted := LocalLevel{size, size * unit.LevelVar}
		_, l := fitted.Filter(y)
		return fitted, l
	}
	top, at := math.Inf(-1), 0.0
	for g := -18.0; g <= 9; g++ {
		if _, l := best(g); l > top {
			top, at = l, g
		}
	}
	lo, hi := at-1, at+1
	golden := (math.Sqrt(5) - 1) / 2
	for range 45 {
		a, b := hi-golden*(hi-lo), lo+golden*(hi-lo)
		_, la := best(a)
		_, lb := best(b)
		if la > lb {
			hi = b
		} else {
			lo = a
		}
	}
	return best((lo + hi) / 2)
}

// LinearTrend is a level with a slope, both of which wander, seen with noise, at irregular times. Variances are in the
// square of the readings' unit, those of level and slope per day.
type LinearTrend struct {
	ObsVar, LevelVar, SlopeVar float64
	// Daily lets the noise enter once at the end of every whole day, as software for regular series does; otherwise it
	// enters all the time. Gaps must then be whole days for the two to be comparable.
	Daily bool
}

// TrendState is what is believed of level and slope (per day): mean and covariance.
type TrendState struct {
	Level, Slope               float64
	VarLevel, Cov, VarSlope    float64
	Innovation, InnovationVar  float64 // of the reading last seen; NaN before
	diffuseReadings, diffuseAt float64 // how many readings a diffuse start has seen, and when the first was
}

// DiffuseTrend knows nothing of level and slope: the first two readings are used up to find them. They must not be at the
// same moment.
func DiffuseTrend() TrendState {
	nan := math.NaN()
	return TrendState{nan, nan, nan, nan, nan, nan, nan, 0, nan}
}

// noise is the covariance of what the wandering adds over some days:
//
//	continuous: [ql·k + qs·k³/3, qs·k²/2; ·, qs·k]
//	daily:      [ql·k + qs·k(k−1)(2k−1)/6, qs·k(k−1)/2; ·, qs·k]
func (m LinearTrend) noise(k float64) (level, cov, slope float64) {
	if m.Daily {
		return m.LevelVar*k + m.SlopeVar*k*(k-1)*(2*k-1)/6, m.SlopeVar * k * (k - 1) / 2, m.SlopeVar * k
	}
	return m.LevelVar*k + m.SlopeVar*k*k*k/3, m.SlopeVar * k * k / 2, m.SlopeVar * k
}

// Ahead is the state some days later, nothing having been seen. A state that is still diffuse stays so.
func (m LinearTrend) Ahead(s TrendState, days float64) TrendState {
	level, cov, slope := m.noise(days)
	s.Level += days * s.Slope
	s.VarLevel += 2*days*s.Cov + days*days*s.VarSlope + level
	s.Cov += days*s.VarSlope + cov
	s.VarSlope += slope
	return s
}

// See is the state once the reading y is known.
func (m LinearTrend) See(s TrendState, y float64) TrendState {
	s.Innovation, s.InnovationVar = y-s.Level, s.VarLevel+m.ObsVar
	gainLevel, gainSlope := s.VarLevel/s.InnovationVar, s.Cov/s.InnovationVar
	s.Level += gainLevel * s.Innovation
	s.Slope += gainSlope * s.Innovation
	s.VarSlope -= gainSlope * s.Cov
	s.VarLevel *= m.ObsVar / s.InnovationVar
	s.Cov *= m.ObsVar / s.InnovationVar
	return s
}

// begin is See for the two readings that a diffuse start uses up.
func (m LinearTrend) begin(s TrendState, t, y float64) TrendState {
	if s.diffuseReadings == 0 {
		s.Level, s.diffuseReadings, s.diffuseAt = y, 1, t
		return s
	}
	k := t - s.diffuseAt
	level, cov, slope := m.noise(k)
	r := m.ObsVar
	return TrendState{
		Level: y, Slope: (y - s.Level) / k,
		VarLevel: r, Cov: r / k, VarSlope: (2*r+level)/(k*k) + slope - 2*cov/k,
		Innovation: math.NaN(), InnovationVar: math.NaN(), diffuseReadings: 2,
	}
}

// Filter runs the Kalman filter over readings y at times t (days, ascending) from a state that holds at t[0], and returns
// the state after each reading with the log-likelihood, which leaves out the two readings that a diffuse start uses up.
func (m LinearTrend) Filter(start TrendState, t, y []float64) (rows []TrendState, loglik float64) {
	if len(t) != len(y) {
		panic("trend: LinearTrend: times and readings differ in number")
	}
	rows = make([]TrendState, len(t))
	s := start
	diffuse := math.IsNaN(start.VarLevel)
	for i := range t {
		if diffuse && i < 2 {
			s = m.begin(s, t[i], y[i])
			rows[i] = s
			continue
		}
		if i > 0 {
			s = m.Ahead(s, t[i]-t[i-1])
		}
		s = m.See(s, y[i])
		loglik += logDensity(s.Innovation, s.InnovationVar)
		rows[i] = s
	}
	return rows, loglik
}

// DaysToZero is the number of days after which the mean level is zero; NaN where it does not fall towards it.
func (s TrendState) DaysToZero() float64 {
	if days := -s.Level / s.Slope; days > 0 {
		return days
	}
	return math.NaN()
}
