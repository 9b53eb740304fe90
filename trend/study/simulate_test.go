package study

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"leadline/trend"
)

// Series is one simulated tank and nutrient, with its truth.
type Series struct {
	Number    int
	Kind      Kind
	Cadence   Cadence
	Kit       KitClass
	Phosphate bool    // else nitrate
	Floor     float64 // canonical unit

	Days     float64   // length
	Level    []float64 // true level in floors, perDay points a day from day 0
	sudden   []span
	kit      kit  // as it really is
	start    tank // as drawn
	acts     []act
	Obs      []trend.Observation // canonical unit, methods described
	Generic  []trend.Observation // the same readings with no method described
	Inputs   []trend.Input       // canonical unit, in time order
	Settings trend.Settings
}

// Simulate draws n series. Series i depends on the seed and i alone.
func Simulate(seed uint64, n int) []Series { return asDrawn.simulate(seed, n) }

func (w world) simulate(seed uint64, n int) []Series {
	out := make([]Series, n)
	eachSeries(n, func(i int) { out[i] = w.simulateOne(seed, i) })
	return out
}

func (w world) simulateOne(seed uint64, number int) Series {
	r := rand.New(rand.NewPCG(seed, uint64(number)))
	s := Series{
		Number:    number,
		Kind:      kinds[weighted(r, w.kinds())],
		Cadence:   Cadence(weighted(r, []float64{0.5, 0.25, 0.25})),
		Kit:       KitClass(weighted(r, []float64{0.4, 0.3, 0.3})),
		Phosphate: r.Float64() < 0.5,
		Days:      math.Round(uniform(r, 365, 730)),
	}
	k, floor := drawKit(r, s.Kit, s.Phosphate)
	s.Floor = floor
	s.Settings = trend.Settings{Floor: floor, Low: 1.5 * floor, High: 12 * floor, Wobble: 0.10}

	tank := newTank(r, s.Kind, s.Days)
	w.settle(tank)
	w.loosen(&k)
	s.kit, s.start = k, *tank
	s.start.rng, s.start.inputs = nil, nil
	tank.start()
	tank.run()
	s.acts = tank.acts
	s.Level, s.sudden = tank.level, tank.sudden
	s.Inputs = inUnits(tank.inputs, floor)
	shelf := w.drawShelf(r, &s)
	for _, day := range testDays(r, s.Cadence, s.Days) {
		conc := s.LevelAt(day) * floor
		if r.Float64() < grossShare {
			conc = blunder(r, conc, s.Phosphate)
		}
		k, off := shelf.at(day)
		o := k.test(r, day, conc*off)
		s.Obs = append(s.Obs, o)
		s.Generic = append(s.Generic, generic(o, s.Phosphate))
	}
	return s
}

// testDays are the days on which the keeper tests: the cadence with a day or so of jitter, and now and then a test
// missed.
func testDays(r *rand.Rand, c Cadence, length float64) []float64 {
	missed := uniform(r, 0, 0.15)
	jitter := math.Min(uniform(r, 0.1, 1.5), c.Days()/5)
	var days []float64
	for due := uniform(r, 0, c.Days()); due < length; due += c.Days() {
		day := due + jitter*r.NormFloat64()
		if r.Float64() < missed || day < 0 || day >= length {
			continue
		}
		days = append(days, day)
	}
	slices.Sort(days)
	return days
}

// inUnits turns inputs in floors into the canonical unit, in time order.
func inUnits(in []trend.Input, floor float64) []trend.Input {
	out := slices.Clone(in)
	for i := range out {
		out[i].Amount *= floor
		out[i].New *= floor
	}
	slices.SortStableFunc(out, func(a, b trend.Input) int { return cmp.Compare(a.Day, b.Day) })
	return out
}

// LevelAt is the true level in floors on a day inside the series.
func (s *Series) LevelAt(day float64) float64 {
	at := day * perDay
	i := int(at)
	if i >= len(s.Level)-1 {
		return s.Level[len(s.Level)-1]
	}
	f := at - float64(i)
	return s.Level[i]*(1-f) + s.Level[i+1]*f
}

// Years is the length of the series.
func (s *Series) Years() float64 { return s.Days / 365.25 }
