package trend

import (
	"fmt"
	"math"
	"slices"
)

// Demand is what the water loses per day by itself, before anything is added: what corals, algae and precipitation take,
// less what food and rock give. Canonical unit per day; NaN where it cannot be told.
type Demand struct {
	AsOf   float64 // day
	N      int     // readings used
	PerDay float64 // consumption per day at AsOf
	Lo, Hi float64 // 80 % interval
	Supply float64 // standing dosing per day in force at AsOf
	Net    float64 // Supply - PerDay: how fast the level is moving
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
}

// minDemandReadings is how many readings a demand needs: two for a difference, and one to see how wrong it is.
const minDemandReadings = 3

// EstimateDemand estimates the demand as-of a moment, from the readings and inputs up to then.
//
// The level C and the demand d follow, between readings,
//
//	dC/dt = supply(t) - d(t) - u(t),   dd/dt = g d,   du = -u/τ dt + noise,
//
// where d is the demand that grows with the corals and u its swing with light, food and weather, which returns to
// nothing in some τ days (an Ornstein–Uhlenbeck process). Doses and water changes enter exactly at their times. For fixed
// g, τ and size of swing this is linear, and a Kalman filter of three states gives the exact posterior. They are not
// known; a bank of filters runs over a grid of them, each weighted by its prior and its likelihood (a "multiple model"
// filter, Magill 1965; the integrated Ornstein–Uhlenbeck process, Harvey 1989; citations from memory). The demand
// reported is the mean of d + u over the weighted mixture, the interval its 10 % and 90 % quantiles. A reading far from what is predicted is down-weighted by
// its chance of being a gross error. Readings known only as "<" or ">" say nothing about a rate and are left out, with a
// note. obs and in are as for Assess.
func EstimateDemand(obs []Observation, in []Input, asOf float64, set DemandSettings) Demand {
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
	b := newDemandBank(obs, in, set)
	out := make([]Demand, len(obs))
	for i, o := range obs {
		b.take(o)
		out[i] = b.at(o.Day)
	}
	return out
}

// The grid of the bank. Consumption that doubles within four months is as fast as stony corals grow into a tank, and one
// that halves within eight months as slow a loss as is still growth and not an accident (common practice, no source).
// Swings and their prior chances are set on the consumption study of trend/study.
var (
	demandDoublings = []float64{-240, -730, math.Inf(1), 1000, 500, 300, 200, 130} // days
	demandSwings    = []float64{0.01, 0.04, 0.09}                                  // relative
	swingDays       = []float64{6, 25}
	levelWanders    = []float64{0.03, 0.4} // in method spreads, per root week
)

// demandWander lets the growing part stray from its exponential: relative, per root week.
const demandWander = 0.006

// Prior chances of the swings and of the wanderings.
var (
	demandSwingPrior = []float64{0.25, 0.5, 0.25}
	levelWanderPrior = []float64{0.75, 0.25}
)

// negligible is the weight below which a filter is left out of a quantile.
const negligible = 1e-7

const (
	grossErrorChance = 0.015
	grossErrorWidth  = 10 // standard deviations of the prediction
)

// demandBank is the bank of filters, all of them at the same day.
type demandBank struct {
	in      []Input
	next    int // first input not yet applied
	supply  float64
	day     float64
	n       int // readings used
	skipped int // readings that gave only a bound
	filters []demandFilter
	set     DemandSettings
}

// demandFilter is one hypothesis: growth g per day, swing and wandering, and the Gaussian belief about (C, d, u) under it.
type demandFilter struct {
	g, swing, tau, wanderC float64
	mean                   [3]float64
	cov                    [3][3]float64
	logWeight              float64
}

func newDemandBank(obs []Observation, in []Input, set DemandSettings) *demandBank {
	validate(obs)
	if !(set.Scale > 0) {
		panic(fmt.Sprintf("trend: scale of demand is %v", set.Scale))
	}
	return &demandBank{in: in, set: set}
}

// take uses one reading.
func (b *demandBank) take(o Observation) {
	if math.IsInf(o.Lo, 0) || math.IsInf(o.Hi, 0) {
		b.skipped++
		return
	}
	y, r := (o.Lo+o.Hi)/2, o.SD*o.SD+(o.Hi-o.Lo)*(o.Hi-o.Lo)/12 // the spread of a step is that of a uniform error
	if b.n == 0 {
		b.start(o, y, r)
		return
	}
	b.advance(o.Day)
	for i := range b.filters {
		b.filters[i].observe(y, r)
	}
	b.n++
}

// start opens the bank at the first reading. What happened before it no longer matters, but for the dosing in force.
func (b *demandBank) start(o Observation, y, r float64) {
	for b.next < len(b.in) && b.in[b.next].Day <= o.Day {
		if b.in[b.next].Kind == Dosing {
			b.supply = b.in[b.next].Amount
		}
		b.next++
	}
	b.day, b.n = o.Day, 1
	spread := math.Hypot(b.set.Scale, b.supply/2)
	for _, days := range demandDoublings {
		for i, swing := range demandSwings {
			for _, tau := range swingDays {
				for j, wander := range levelWanders {
					f := demandFilter{
						g:         math.Ln2 / days,
						swing:     swing,
						tau:       tau,
						wanderC:   wander * o.SD,
						mean:      [3]float64{y, b.supply, 0},
						logWeight: math.Log(demandSwingPrior[i] * levelWanderPrior[j]),
					}
					f.cov[0][0], f.cov[1][1], f.cov[2][2] = r, spread*spread, sq(swing*math.Max(b.supply, b.set.Scale/2))
					b.filters = append(b.filters, f)
				}
			}
		}
	}
}

// advance moves every filter to a day, through all inputs on the way.
func (b *demandBank) advance(day float64) {
	for b.next < len(b.in) && b.in[b.next].Day <= day {
		i := b.in[b.next]
		b.next++
		b.drift(i.Day)
		if i.Kind == Dosing {
			b.supply = i.Amount
			continue
		}
		for k := range b.filters {
			b.filters[k].disturb(i)
		}
	}
	b.drift(day)
}

func (b *demandBank) drift(day float64) {
	k := day - b.day
	if k <= 0 {
		return
	}
	for i := range b.filters {
		b.filters[i].drift(k, b.supply)
	}
	b.day = day
}

// drift moves the belief over k days of constant supply.
func (f *demandFilter) drift(k, supply float64) {
	grow, fade := math.Exp(f.g*k), math.Exp(-k/f.tau)
	taken := k // what a demand of one at the start takes in k days
	if f.g != 0 {
		taken = math.Expm1(f.g*k) / f.g
	}
	size := math.Max(math.Abs(f.mean[1]), supply/2)
	f.transform([3][3]float64{
		{1, -taken, -f.tau * (1 - fade)},
		{0, grow, 0},
		{0, 0, fade},
	})
	f.mean[0] += supply * k
	// The growing part strays as a random walk; its integral moves the level.
	q := sq(demandWander*size) / 7
	f.cov[0][0] += q*k*k*k/3 + f.wanderC*f.wanderC*k/7
	f.add(0, 1, -q*k*k/2)
	f.cov[1][1] += q * k
	// The swing, and its integral.
	s := sq(f.swing * size)
	f.cov[0][0] += s * f.tau * f.tau * (2*k/f.tau - 3 + 4*fade - fade*fade)
	f.add(0, 2, -s*f.tau*sq(1-fade))
	f.cov[2][2] += s * (1 - fade*fade)
}

// transform applies a linear map to the belief.
func (f *demandFilter) transform(a [3][3]float64) {
	var mean [3]float64
	var half, cov [3][3]float64
	for i := range 3 {
		for j := range 3 {
			mean[i] += a[i][j] * f.mean[j]
			for k := range 3 {
				half[i][j] += a[i][k] * f.cov[k][j]
			}
		}
	}
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				cov[i][j] += half[i][k] * a[j][k]
			}
		}
	}
	f.mean, f.cov = mean, cov
}

// add adds to a covariance, on both sides of the diagonal.
func (f *demandFilter) add(i, j int, v float64) {
	f.cov[i][j] += v
	f.cov[j][i] += v
}

// disturb applies a dose or a water change.
func (f *demandFilter) disturb(i Input) {
	switch i.Kind {
	case Dose:
		f.mean[0] += i.Amount
	case Change:
		target, spread := i.New, 0.0
		if math.IsNaN(target) {
			// New water of an unknown level: about what the tank has, within a tenth (common practice, no source).
			target, spread = f.mean[0], f.mean[0]/10
		}
		keep := 1 - i.Fraction
		f.transform([3][3]float64{{keep, 0, 0}, {0, 1, 0}, {0, 0, 1}})
		f.mean[0] += i.Fraction * target
		f.cov[0][0] += sq(i.Fraction * spread)
	}
}

// observe takes a reading y of variance r, as a mixture of an ordinary reading and a gross error.
func (f *demandFilter) observe(y, r float64) {
	v, s := y-f.mean[0], f.cov[0][0]+r
	good := (1 - grossErrorChance) * normalDensity(v, s)
	bad := grossErrorChance * normalDensity(v, grossErrorWidth*grossErrorWidth*s)
	f.logWeight += math.Log(good + bad + math.SmallestNonzeroFloat64)
	w := 0.0 // chance that the reading is an ordinary one
	if good > 0 {
		w = good / (good + bad)
	}
	column := [3]float64{f.cov[0][0], f.cov[1][0], f.cov[2][0]}
	for i := range 3 {
		f.mean[i] += w * column[i] / s * v
		for j := range 3 {
			f.cov[i][j] += column[i] * column[j] / s * (w*(1-w)*v*v/s - w)
		}
	}
}

// demand is the belief about d + u.
func (f *demandFilter) demand() (mean, variance float64) {
	return f.mean[1] + f.mean[2], f.cov[1][1] + 2*f.cov[1][2] + f.cov[2][2]
}

// at reports the mixture as-of a day, leaving the bank as it is.
func (b *demandBank) at(asOf float64) Demand {
	nan := math.NaN()
	out := Demand{AsOf: asOf, N: b.n, PerDay: nan, Lo: nan, Hi: nan, Net: nan, Growth: nan, GrowthLo: nan, GrowthHi: nan}
	if b.skipped > 0 {
		out.Notes = append(out.Notes, Note{Code: "bounds-left-out",
			Text: fmt.Sprintf("%d readings known only as a bound say nothing about a rate and were left out", b.skipped)})
	}
	later := *b
	later.filters = append([]demandFilter(nil), b.filters...)
	if b.n > 0 {
		later.advance(asOf)
	} else {
		for _, i := range b.in {
			if i.Kind == Dosing && i.Day <= asOf {
				later.supply = i.Amount
			}
		}
	}
	out.Supply = later.supply
	if b.n < minDemandReadings {
		out.Notes = append(out.Notes, Note{Code: "too-few",
			Text: fmt.Sprintf("demand needs %d readings, has %d", minDemandReadings, b.n)})
		return out
	}
	w := later.weights()
	mean := 0.0
	for i, f := range later.filters {
		d, _ := f.demand()
		mean += w[i] * d
	}
	out.PerDay, out.Net = mean, out.Supply-mean
	out.Lo, out.Hi = later.quantile(w, 0.1), later.quantile(w, 0.9)
	out.Growth, out.GrowthLo, out.GrowthHi = later.growth(w)
	return out
}

// weights are the posterior chances of the filters.
func (b *demandBank) weights() []float64 {
	w := make([]float64, len(b.filters))
	best := math.Inf(-1)
	for _, f := range b.filters {
		best = math.Max(best, f.logWeight)
	}
	sum := 0.0
	for i, f := range b.filters {
		w[i] = math.Exp(f.logWeight - best)
		sum += w[i]
	}
	for i := range w {
		w[i] /= sum
	}
	return w
}

// quantile finds a quantile of the mixture of demands by bisection.
func (b *demandBank) quantile(w []float64, p float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, f := range b.filters {
		d, variance := f.demand()
		reach := 8 * math.Sqrt(variance)
		lo, hi = math.Min(lo, d-reach), math.Max(hi, d+reach)
	}
	for range 40 {
		mid := (lo + hi) / 2
		below := 0.0
		for i, f := range b.filters {
			if w[i] < negligible {
				continue
			}
			d, variance := f.demand()
			below += w[i] * normalCDF((mid-d)/math.Sqrt(variance))
		}
		if below < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// growth is the mean and the 80 % range of the growth per 30 days over the grid.
func (b *demandBank) growth(w []float64) (mean, lo, hi float64) {
	const days = 30
	byRate := map[float64]float64{}
	var rates []float64 // in the order of the grid, made rising below
	for i, f := range b.filters {
		if _, ok := byRate[f.g]; !ok {
			rates = append(rates, f.g)
		}
		byRate[f.g] += w[i]
		mean += w[i] * math.Expm1(f.g*days)
	}
	lo, hi = math.NaN(), math.NaN()
	sum := 0.0
	slices.Sort(rates)
	for _, g := range rates {
		before := sum
		sum += byRate[g]
		if before < 0.1 && sum >= 0.1 {
			lo = math.Expm1(g * days)
		}
		if before < 0.9 && sum >= 0.9 {
			hi = math.Expm1(g * days)
		}
	}
	return mean, lo, hi
}

func normalDensity(v, variance float64) float64 {
	return math.Exp(-v*v/(2*variance)) / math.Sqrt(2*math.Pi*variance)
}
