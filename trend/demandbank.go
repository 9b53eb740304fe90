package trend

import (
	"fmt"
	"maps"
	"math"
	"slices"
)

// The grid of the bank. Consumption that doubles within four months is as fast as stony corals grow into a tank, and
// one that halves within eight months as slow a loss as is still growth and not an accident (common practice, no
// source).
var demandDoublings = []float64{-240, -730, math.Inf(1), 1000, 500, 300, 200, 130} // days

// A demand that hardly swings shows its growth so well that the steps of that grid would be taken for swing: it has a
// finer one, of rates per day.
const (
	steadyLeast = -0.003
	steadyMost  = 0.0054
	steadyStep  = 0.0003
	steadySwing = 0.005 // up to which a demand hardly swings
)

// variation is one hypothesis on how a demand behaves apart from its growth.
type variation struct {
	swing, days float64 // relative size of the swing, and the days in which it fades
	wander      float64 // how far the growing part strays from its exponential: relative, per root week
	chance      float64 // before any reading
	least       float64 // the size that all of these are shares of is at least so much of DemandSettings.Scale
}

// The variations and their chances are set on the consumption study of trend/study, which has tanks of each.
var variations = []variation{
	{swing: .002, days: 12, wander: .0008, chance: .2},
	{swing: .024, days: 3, wander: .003, chance: .1},
	{swing: .024, days: 15, wander: .003, chance: .22},
	{swing: .055, days: 3, wander: .005, chance: .14},
	{swing: .055, days: 15, wander: .005, chance: .18},
	{swing: .11, days: 3, wander: .008, chance: .08},
	{swing: .11, days: 15, wander: .008, chance: .08},
}

// abrupt is the demand that changes for reasons of its own, such as a colony that dies or food that is left out. It
// fits no ordinary tank well, and takes over where no other variation fits at all.
var abrupt = variation{swing: 0.03, days: 12, wander: 0.15, chance: 0.02, least: 0.25}

// levelWander is what moves the level and is no demand, such as evaporation and its make-up: in spreads of the
// method, per root week.
const levelWander = 0.03

// blindSpreads are factors on the scatter of a method that nobody described: its kit may be half or twice as good as
// the common one.
var blindSpreads = []float64{0.5, 1, 1.8}

// negligible is the weight below which a filter is left out of a quantile.
const negligible = 1e-6

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
	first   float64 // day of the first reading
	n       int     // readings used
	skipped int     // readings that gave only a bound
	filters []demandFilter
	set     DemandSettings
}

// demandFilter is one hypothesis: growth g per day, swing and wandering, and the Gaussian belief about (C, d, u)
// under it.
type demandFilter struct {
	g float64
	variation
	floor     float64 // variation.least in canonical units
	spread    float64 // factor on the scatter of a method that nobody described
	wanderC   float64
	mean      [3]float64
	cov       [3][3]float64
	logWeight float64
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
		f := &b.filters[i]
		if o.Described {
			f.observe(y, r)
		} else {
			f.observe(y, r*f.spread*f.spread)
		}
	}
	b.n++
}

// start opens the bank at the first reading. What happened before it no longer matters, but for the dosing in force.
func (b *demandBank) start(o Observation, y, r float64) {
	b.supply = supplyAt(b.in, o.Day)
	for b.next < len(b.in) && b.in[b.next].Day <= o.Day {
		b.next++
	}
	b.first, b.day, b.n = o.Day, o.Day, 1
	spread := math.Hypot(b.set.Scale, b.supply/2)
	spreads := []float64{1}
	if !o.Described {
		spreads = blindSpreads
	}
	for _, t := range append(slices.Clone(variations), abrupt) {
		rates := t.rates()
		chance := t.chance / float64(len(rates))
		for _, g := range rates {
			for _, k := range spreads {
				f := demandFilter{
					g:         g,
					variation: t,
					floor:     t.least * b.set.Scale,
					spread:    k,
					wanderC:   levelWander * k * o.SD,
					mean:      [3]float64{y, b.supply, 0},
					logWeight: math.Log(chance),
				}
				f.cov[0][0], f.cov[1][1], f.cov[2][2] = r*k*k, spread*spread, sq(t.swing*max(b.supply, b.set.Scale/2))
				b.filters = append(b.filters, f)
			}
		}
	}
}

// rates is the grid of growth per day for a variation.
func (t variation) rates() []float64 {
	var rates []float64
	if t == abrupt {
		return []float64{0}
	}
	if t.swing <= steadySwing {
		for g := steadyLeast; g <= steadyMost; g += steadyStep {
			rates = append(rates, g)
		}
		return rates
	}
	for _, days := range demandDoublings {
		rates = append(rates, math.Ln2/days)
	}
	return rates
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
	grow, fade := math.Exp(f.g*k), math.Exp(-k/f.days)
	taken := k // what a demand of one at the start takes in k days
	if f.g != 0 {
		taken = math.Expm1(f.g*k) / f.g
	}
	size := max(math.Abs(f.mean[1]), supply/2, f.floor)
	swung := f.days * (1 - fade) // the same of the swing
	f.transform(func(c, d, u *float64) { *c, *d, *u = *c-taken**d-swung**u, grow**d, fade**u })
	f.mean[0] += supply * k
	// The growing part strays as a random walk; its integral moves the level.
	q := sq(f.wander*size) / 7
	f.cov[0][0] += q*k*k*k/3 + f.wanderC*f.wanderC*k/7
	f.add(0, 1, -q*k*k/2)
	f.cov[1][1] += q * k
	// The swing, and its integral.
	s := sq(f.swing * size)
	f.cov[0][0] += s * f.days * f.days * (2*k/f.days - 3 + 4*fade - fade*fade)
	f.add(0, 2, -s*f.days*sq(1-fade))
	f.cov[2][2] += s * (1 - fade*fade)
}

// transform applies a linear map of level, demand and swing to the belief.
func (f *demandFilter) transform(to func(c, d, u *float64)) {
	to(&f.mean[0], &f.mean[1], &f.mean[2])
	for j := range 3 {
		to(&f.cov[0][j], &f.cov[1][j], &f.cov[2][j])
	}
	for i := range 3 {
		to(&f.cov[i][0], &f.cov[i][1], &f.cov[i][2])
	}
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
		f.transform(func(c, _, _ *float64) { *c *= keep })
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

// at reports the mixture as-of a day, leaving the bank as it is.
func (b *demandBank) at(asOf float64) Demand {
	later := *b
	later.filters = slices.Clone(b.filters)
	if b.n > 0 {
		later.advance(asOf)
	} else {
		later.supply = supplyAt(b.in, asOf)
	}
	out := NoDemand(b.n, later.supply)
	switch b.skipped {
	case 0:
	case 1:
		out.Notes = append(out.Notes, Note{"bounds-left-out",
			"1 reading known only as a bound says nothing about a rate and was left out"})
	default:
		out.Notes = append(out.Notes, Note{"bounds-left-out",
			fmt.Sprintf("%d readings known only as a bound say nothing about a rate and were left out", b.skipped)})
	}
	if out.tooFew(b.day - b.first) {
		return out
	}
	w := later.weights()
	m := later.mixture(w)
	out.PerDay, out.Lo, out.Hi = m.mean(), m.quantile(0.1), m.quantile(0.9)
	out.Net = out.Supply - out.PerDay
	out.Growth, out.GrowthLo, out.GrowthHi = later.growth(w)
	return out
}

// weights are the posterior chances of the filters.
func (b *demandBank) weights() []float64 {
	w := make([]float64, len(b.filters))
	best := math.Inf(-1)
	for _, f := range b.filters {
		best = max(best, f.logWeight)
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

// mixture is the belief about the demand d + u, without what weighs nothing.
func (b *demandBank) mixture(w []float64) mixture {
	var m mixture
	for i, f := range b.filters {
		if w[i] < negligible {
			continue
		}
		variance := f.cov[1][1] + 2*f.cov[1][2] + f.cov[2][2]
		m = append(m, normal{w[i], f.mean[1] + f.mean[2], math.Sqrt(max(variance, 0)) + 1e-12})
	}
	return m
}

// growth is the mean and the 80 % range of the growth per 30 days. Between the rates of the grid the chance is spread
// evenly.
func (b *demandBank) growth(w []float64) (mean, lo, hi float64) {
	const days = 30
	chance := map[float64]float64{}
	for i, f := range b.filters {
		chance[f.g] += w[i]
	}
	rates := slices.Sorted(maps.Keys(chance))
	for _, g := range rates {
		mean += chance[g] * math.Expm1(g*days)
	}
	// Each rate stands for the stretch half way to its neighbours.
	border := func(i int) float64 {
		switch {
		case i == 0:
			return rates[0]
		case i == len(rates):
			return rates[i-1]
		}
		return (rates[i-1] + rates[i]) / 2
	}
	quantile := func(p float64) float64 {
		before := 0.0
		for i, g := range rates {
			if c := chance[g]; before+c >= p && c > 0 {
				return border(i) + (border(i+1)-border(i))*(p-before)/c
			}
			before += chance[g]
		}
		return rates[len(rates)-1]
	}
	return mean, math.Expm1(quantile(0.1) * days), math.Expm1(quantile(0.9) * days)
}

func normalDensity(v, variance float64) float64 {
	sd := math.Sqrt(variance)
	return normalPDF(v/sd) / sd
}
