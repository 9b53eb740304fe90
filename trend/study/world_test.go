package study

import (
	"math"
	"math/rand/v2"
)

// world is the simulator with something altered, so that an engine is not judged only where its constants were chosen.
type world struct {
	name     string
	noise    float64 // kits scatter so many times what is described
	wobble   float64 // factor on its size
	declines float64 // factor on how common declining tanks are
	first    span    // days of the first steady stretch; nothing: as drawn
	between  span    // of those after a recovery
	bottles  bool    // reagents drift and differ from lot to lot, and in the middle there is a new kit
}

var asDrawn = world{name: "as drawn above", noise: 1, wobble: 1, declines: 1}

// never is longer than any series, in days.
const never = 1e6

// World is a way to draw series.
type World struct {
	Name     string
	Times    int // so many times as many tanks as of the others
	Simulate func(seed uint64, n int) []Series
}

// Worlds are all of them, the simulator as it is and the other one first.
func Worlds() []World {
	out := []World{{asDrawn.name, 1, asDrawn.simulate}, {"the other simulator", 1, Pools}}
	for _, w := range [...]world{
		{name: "kits 1.8 times noisier than described", noise: 1.8, wobble: 1, declines: 1},
		{name: "a third of the wobble", noise: 1, wobble: 1.0 / 3, declines: 1},
		{name: "declines a tenth as common", noise: 1, wobble: 1, declines: 0.1},
		{name: "tanks that fall once, after long quiet", noise: 1, wobble: 1, declines: 1, first: span{120, 500},
			between: span{never, never}},
		{name: "tanks that fall again and again", noise: 1, wobble: 1, declines: 1, first: span{0, 60},
			between: span{10, 90}},
		{name: "reagents that drift, lots, a new kit", noise: 1, wobble: 1, declines: 1, bottles: true},
	} {
		times := 1
		if w.declines < 1 {
			times = 3
		}
		out = append(out, World{w.name, times, w.simulate})
	}
	return out
}

// kinds is how often each kind of tank is drawn.
func (w world) kinds() []float64 {
	weight := kindWeight
	for i, k := range kinds {
		if (&tank{course: k}).declines() {
			weight[i] *= w.declines
		}
	}
	return weight[:]
}

// settle alters how a tank wobbles, and whether and when it falls.
func (w world) settle(k *tank) {
	if k.course != k.kind && k.declines() && w.declines < 1 && k.rng.Float64() > w.declines {
		k.course = SteadyHigh
	}
	k.wobble, k.wobbleSD = k.wobble*w.wobble, k.wobbleSD*w.wobble
	if w.between.to > 0 {
		k.first, k.between = w.first, w.between
	}
	if w.between.from >= never {
		k.relapses = 0
	}
}

// loosen makes a kit noisier than what is told of it.
func (w world) loosen(k *kit) {
	k.sd, k.sdRel, k.sdSteps, k.told = k.sd*w.noise, k.sdRel*w.noise, k.sdSteps*w.noise, k.told/w.noise
}

// bottle is one after another on the keeper's shelf: a kit, and by what factor it reads wrong when opened and more
// each day.
type bottle struct {
	from        float64
	kit         kit
	off, perDay float64 // of the logarithm
}

type shelf []bottle

// drawShelf draws the bottles of a series: lots of two to six months that differ by a tenth and weaken by up to a
// quarter, and in the middle another kit, which differs by as much again. Elsewhere there is one right bottle.
func (w world) drawShelf(r *rand.Rand, s *Series) shelf {
	if !w.bottles {
		return shelf{{kit: s.kit}}
	}
	var out shelf
	change := s.Days * uniform(r, 0.35, 0.65)
	k, off := s.kit, 0.0
	for day := 0.0; day < s.Days; {
		length := uniform(r, 60, 180)
		out = append(out, bottle{from: day, kit: k, off: off + 0.1*r.NormFloat64(), perDay: -uniform(r, 0, 0.25) / length})
		if day < change && day+length >= change {
			k, _ = drawKit(r, KitClass(r.IntN(3)), s.Phosphate)
			k.limit = math.Min(k.limit, 0.8*s.Floor)
			off = 0.1 * r.NormFloat64()
		}
		day += length
	}
	return out
}

// at is the kit in use on a day, and the factor by which it reads wrong.
func (s shelf) at(day float64) (kit, float64) {
	i := len(s) - 1
	for i > 0 && s[i].from > day {
		i--
	}
	return s[i].kit, math.Exp(s[i].off + s[i].perDay*(day-s[i].from))
}
