package study

import (
	"math"

	"leadline/trend"
)

// ltNoise are the spreads of a local linear trend on the logarithm of the level.
type ltNoise struct {
	level float64 // variance per day: how the logarithm wanders
	slope float64 // per day: how its daily slope wanders
}

// ltFixed are those for simulated tanks: fixed, chosen on other seeds than the tables use.
var ltFixed = ltNoise{level: 0.0015, slope: 4e-5}

const (
	ltSlopeStart = 0.01 // standard deviation of the slope at the start, per day
	ltWidest     = 4    // variance of the logarithm at the start, which it never exceeds
	ltWild       = 1e-4 // share of readings that say nothing
	ltPoints     = 41   // of the quadrature over the level
)

// ltState is the mean and covariance of (log of the level in floors, its change per day).
type ltState struct{ l, v, pll, plv, pvv float64 }

// localTrend says the level by a local linear trend on its logarithm; its score is the chance of being below the
// floor at some one moment within 42 days.
func localTrend(s *Series) []said {
	out := make([]said, len(s.Obs))
	for i, st := range ltStates(s) {
		r := unsaid()
		chance := 0.0
		for _, days := range [...]float64{0, 7, 14, 28, 42} {
			f := st.ahead(days, ltFixed)
			reach := z90 * math.Sqrt(f.pll)
			level := interval{math.Exp(f.l), math.Exp(f.l - reach), math.Exp(f.l + reach)}
			chance = math.Max(chance, normalBelow(-f.l/math.Sqrt(f.pll)))
			switch days {
			case 0:
				r.now = level
			case 7:
				r.ahead7 = level
			case 14:
				r.ahead14, r.p14 = level, chance
			case 28:
				r.p28 = chance
			case 42:
				r.p42, r.score = chance, chance
			}
		}
		out[i] = r
	}
	return out
}

// ltStates are the states once each reading is known. Each reading is taken as an interval: the two moments of the
// level given it are found by quadrature.
func ltStates(s *Series) []ltState {
	out := make([]ltState, len(s.Obs))
	var st ltState
	next := 0
	for i, o := range s.Obs {
		if i == 0 {
			for next < len(s.Inputs) && s.Inputs[next].Day <= o.Day {
				next++
			}
			st = ltState{l: math.Log(math.Max(plain(o)/s.Floor, 0.3)), pll: ltWidest, pvv: ltSlopeStart * ltSlopeStart}
		} else {
			st = st.ahead(o.Day-s.Obs[i-1].Day, ltFixed)
			for next < len(s.Inputs) && s.Inputs[next].Day <= o.Day {
				st = st.stepped(s.Inputs[next], s.Floor)
				next++
			}
		}
		st = st.told(o, s.Floor)
		out[i] = st
	}
	return out
}

// stepped is the state after a dose or a water change: the logarithm of the level goes where the arithmetic puts it,
// and its spread by the derivative there.
func (a ltState) stepped(in trend.Input, floor float64) ltState {
	before := math.Exp(a.l)
	keep, put := 1.0, 0.0
	switch in.Kind {
	case trend.Dose:
		put = in.Amount / floor
	case trend.Change:
		keep, put = 1-in.Fraction, in.Fraction*in.New/floor
	}
	after := keep*before + put
	gain := keep * before / after
	a.l, a.pll, a.plv = math.Log(after), a.pll*gain*gain, a.plv*gain
	return a
}

// ahead is the state some days later, the noise of level and slope entering all the time.
func (a ltState) ahead(days float64, by ltNoise) ltState {
	a.l += days * a.v
	a.pll += 2*days*a.plv + days*days*a.pvv + by.level*days + by.slope*days*days*days/3
	a.plv += days*a.pvv + by.slope*days*days/2
	a.pvv += by.slope * days
	if a.pll > ltWidest {
		a.pll, a.plv = ltWidest, a.plv*ltWidest/a.pll
	}
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
