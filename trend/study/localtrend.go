package study

import (
	"math"

	"leadline/trend"
)

const localTrendName = "local linear trend on the logarithm"

// The spreads of the local linear trend on the logarithm of the level: fixed, chosen on other seeds than the tables use.
const (
	ltLevelVar   = 0.0015 // per day: how the logarithm wanders
	ltSlopeVar   = 4e-5   // per day: how its daily slope wanders
	ltSlopeStart = 0.01   // standard deviation of the slope at the start, per day
	ltWild       = 1e-4   // share of readings that say nothing
	ltPoints     = 41     // of the quadrature over the level
)

// ltState is the mean and covariance of (log of the level in floors, its change per day).
type ltState struct{ l, v, pll, plv, pvv float64 }

// localTrend is the chance, by a local linear trend on the logarithm, of the level being below the floor at some one moment
// within 42 days.
func localTrend(s *Series) []float64 {
	out := make([]float64, len(s.Obs))
	for i, st := range ltStates(s) {
		for _, days := range [...]float64{7, 14, 28, 42} {
			f := st.ahead(days)
			out[i] = math.Max(out[i], normalBelow(-f.l/math.Sqrt(f.pll)))
		}
	}
	return out
}

// localTrendSaid is what the local linear trend says of the level 7 days after each reading.
func localTrendSaid(s *Series) []said {
	out := make([]said, len(s.Obs))
	for i, st := range ltStates(s) {
		f := st.ahead(7)
		reach := z90 * math.Sqrt(f.pll)
		out[i].ahead7 = interval{math.Exp(f.l), math.Exp(f.l - reach), math.Exp(f.l + reach)}
	}
	return out
}

// ltStates are the states once each reading is known. Each reading is taken as an interval: the two moments of the level
// given it are found by quadrature.
func ltStates(s *Series) []ltState {
	out := make([]ltState, len(s.Obs))
	var st ltState
	next := 0
	for i, o := range s.Obs {
		if i == 0 {
			for next < len(s.Inputs) && s.Inputs[next].Day <= o.Day {
				next++
			}
			st = ltState{l: math.Log(math.Max(plain(o)/s.Floor, 0.3)), pll: 4, pvv: ltSlopeStart * ltSlopeStart}
		} else {
			st = st.ahead(o.Day - s.Obs[i-1].Day)
			for next < len(s.Inputs) && s.Inputs[next].Day <= o.Day {
				st.l = stepped(st.l, s.Inputs[next], s.Floor)
				next++
			}
		}
		st = st.told(o, s.Floor)
		out[i] = st
	}
	return out
}

// stepped is the logarithm of the level after a dose or a water change.
func stepped(l float64, in trend.Input, floor float64) float64 {
	switch in.Kind {
	case trend.Dose:
		return math.Log(math.Exp(l) + in.Amount/floor)
	case trend.Change:
		return math.Log((1-in.Fraction)*math.Exp(l) + in.Fraction*in.New/floor)
	}
	return l
}

// ahead is the state some days later, the noise of level and slope entering all the time.
func (a ltState) ahead(days float64) ltState {
	a.l += days * a.v
	a.pll += 2*days*a.plv + days*days*a.pvv + ltLevelVar*days + ltSlopeVar*days*days*days/3
	a.plv += days*a.pvv + ltSlopeVar*days*days/2
	a.pvv += ltSlopeVar * days
	return a
}

// told is the state once a reading is known: the mean and variance of the level from the prior times the chance of the
// interval, and the slope by its regression on the level.
func (a ltState) told(o trend.Observation, floor float64) ltState {
	sd := math.Sqrt(a.pll)
	var w, wx, wxx float64
	for i := range ltPoints {
		z := -5 + 10*float64(i)/(ltPoints-1)
		conc := floor * math.Exp(a.l+z*sd)
		p := normalBelow((o.Hi-conc)/o.SD) - normalBelow((o.Lo-conc)/o.SD)
		weight := math.Exp(-z*z/2) * (ltWild + (1-ltWild)*p)
		w += weight
		wx += weight * z
		wxx += weight * z * z
	}
	mean := wx / w
	variance := wxx/w - mean*mean
	gain := a.plv / a.pll
	return ltState{
		l:   a.l + mean*sd,
		v:   a.v + gain*mean*sd,
		pll: a.pll * variance,
		plv: a.plv * variance,
		pvv: a.pvv - gain*a.plv*(1-variance),
	}
}
