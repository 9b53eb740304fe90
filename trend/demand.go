package trend

import (
	"fmt"
	"math"
)

// Demand is what the water loses per day by itself, before anything is added: what corals, algae and precipitation
// take, less what food and rock give. Canonical unit per day; NaN where it cannot be told.
type Demand struct {
	N      int     // readings used
	PerDay float64 // consumption per day at the moment asked about
	Lo, Hi float64 // 80 % interval
	Supply float64 // standing dosing per day in force then
	// Regular is what regular doses and water changes put in a day, on average, to what runs out; else 0.
	Regular float64
	Net     float64 // Supply + Regular - PerDay: how fast the level is moving
	// Growth of the demand per 30 days, as a fraction (0.06 is 6 % a month), with its 80 % interval.
	Growth, GrowthLo, GrowthHi float64
	Notes                      []Note
}

// DemandSettings is what must be known of a parameter to estimate its demand.
type DemandSettings struct {
	// Scale is a large ordinary demand per day, canonical unit, for a tank that doses nothing: the spread of what is
	// believed before there are readings. With dosing going on, half the supply is added in quadrature, since keepers
	// dose about what is taken. > 0.
	Scale float64
	// Trend is what Assess is told of the parameter. Where it has a floor, the demand is what Assess believes.
	Trend Settings
}

// A demand needs three readings, two for a difference and one to see how wrong it is, and a day at least between the
// first and the last: repeats of one test say nothing about a rate.
const (
	minDemandReadings = 3
	minDemandDays     = 1
)

// EstimateDemand estimates the demand as-of a moment, from the readings and inputs up to then.
//
// Of what runs out, which has a floor, the demand is what goes in less the slope that Assess believes: it changes at
// once when food, media or corals do, and slope and demand are one belief. It tells no growth.
//
// Of what is held the level C and the demand d follow, between readings,
//
//	dC/dt = supply(t) - d(t) - u(t),   dd/dt = g d,   du = -u/τ dt + noise,
//
// where d is the demand that grows with the corals and u its swing with light, food and weather, which returns to
// nothing in some τ days (an Ornstein–Uhlenbeck process). Doses and water changes enter exactly at their times. For
// fixed g, τ and size of swing this is linear, and a Kalman filter of three states gives the exact posterior. They are
// not known; a bank of filters runs over a grid of them, each weighted by its prior and its likelihood (a "multiple
// model" filter, Magill 1965; the integrated Ornstein–Uhlenbeck process, Harvey 1989; citations from memory). The
// demand reported is the mean of d + u over the weighted mixture, the interval its 10 % and 90 % quantiles. One more
// filter lets the demand change for reasons of its own, and takes over where growth and swing do not explain the
// readings. A reading far from what is predicted is down-weighted by its chance of being a gross error. Readings known
// only as "<" or ">" say nothing about a rate and are left out, with a note. obs and in are as for Assess.
func EstimateDemand(obs []Observation, in []Input, asOf float64, set DemandSettings) Demand {
	if hasFloor(set.Trend) {
		a := Assess(obs, in, asOf, set.Trend)
		return a.demand(first(obs))
	}
	b := newDemandBank(obs, in, set)
	for _, o := range obs {
		if o.Day > asOf {
			break
		}
		b.take(o)
	}
	return b.at(asOf)
}

// HindcastDemand is EstimateDemand as-of each reading, with the readings up to and including it.
func HindcastDemand(obs []Observation, in []Input, set DemandSettings) []Demand {
	out := make([]Demand, len(obs))
	if hasFloor(set.Trend) {
		for i, a := range Hindcast(obs, in, set.Trend) {
			out[i] = a.demand(first(obs))
		}
		return out
	}
	b := newDemandBank(obs, in, set)
	for i, o := range obs {
		b.take(o)
		out[i] = b.at(o.Day)
	}
	return out
}

// first is the day of the first reading; NaN where there is none.
func first(obs []Observation) float64 {
	if len(obs) == 0 {
		return math.NaN()
	}
	return obs[0].Day
}

// demand is what goes in less the slope of an assessment whose first reading is of the day given.
func (a *Assessment) demand(first float64) Demand {
	d := NoDemand(a.N, a.Supply)
	if d.tooFew(a.Latest.Day - first) {
		return d
	}
	in := a.Supply + a.Regular
	d.PerDay, d.Lo, d.Hi = in-a.SlopePerWeek/7, in-a.SlopeHi/7, in-a.SlopeLo/7
	d.Regular, d.Net = a.Regular, a.SlopePerWeek/7
	if math.IsNaN(a.SlopePerWeek) {
		d.Notes = append(d.Notes, Note{"all-censored", "no reading shows a number yet: the demand is unknown"})
	}
	return d
}

// NoDemand is a demand of which nothing but the supply is known.
func NoDemand(n int, supply float64) Demand {
	nan := math.NaN()
	return Demand{N: n, Supply: supply, PerDay: nan, Lo: nan, Hi: nan, Net: nan, Growth: nan, GrowthLo: nan, GrowthHi: nan}
}

// tooFew says whether the readings, whose first and last lie some days apart, are too few for a demand, and notes why.
func (d *Demand) tooFew(days float64) bool {
	switch {
	case d.N < minDemandReadings:
		d.Notes = append(d.Notes, Note{"too-few", fmt.Sprintf("demand needs %d readings, has %d", minDemandReadings, d.N)})
	case days < minDemandDays:
		d.Notes = append(d.Notes, Note{"too-close",
			"all readings lie within a day, which tells nothing about a demand per day"})
	default:
		return false
	}
	return true
}
