package study

import (
	"math"
	"math/rand/v2"

	"leadline/trend"
)

// kit is a method of testing one nutrient, in the nutrient's canonical unit.
//
// Every kit adds a Gaussian error to the true concentration and reports the nearest step, or the nearest scale mark.
// The error of a fine or coarse kit is sqrt(sd² + (sdRel·level)²); that of a card is sdSteps times the gap between the
// marks.
type kit struct {
	class   KitClass
	step    float64
	sd      float64
	sdRel   float64
	limit   float64 // "<limit" below this; 0: no limit, a zero is written as 0
	top     float64 // ">top" above this
	marks   []float64
	sdSteps float64
	halves  bool // the reader also writes half-way values between two marks
	told    float64
}

// ppbP is one microgram of phosphorus per litre as mg/L of phosphate: 94.9714/30.97376 in thousandths.
const ppbP = 0.0030661

// drawKit draws a kit for the nutrient, and the floor that its keeper uses: no lower than the kit can tell from
// nothing, which is 1 to 2 mg/L for nitrate cards and 0.02 to 0.03 mg/L for phosphate cards (common practice, no
// source).
func drawKit(r *rand.Rand, class KitClass, phosphate bool) (kit, float64) {
	var k kit
	var floor float64
	switch {
	case phosphate && class == Fine:
		floor = pick(r, 0.015, 0.02, 0.025, 0.03)
	case phosphate:
		floor = pick(r, 0.02, 0.025, 0.03)
	case class == Fine:
		floor = pick(r, 0.5, 1, 1.5, 2)
	default:
		floor = pick(r, 1, 1.5, 2)
	}
	if phosphate {
		k = phosphateKit(r, class)
	} else {
		k = nitrateKit(r, class, floor)
	}
	k.class = class
	k.limit = math.Min(k.limit, 0.8*floor)
	k.told = math.Exp(0.1 * r.NormFloat64()) // the described spread is never quite the real one
	return k, floor
}

func phosphateKit(r *rand.Rand, class KitClass) kit {
	switch class {
	case Fine:
		return kit{step: ppbP, sd: uniform(r, 0.8, 3) * ppbP, sdRel: uniform(r, 0, 0.06),
			limit: pick(r, 0, 1, 2, 3.0) * ppbP, top: 300 * ppbP}
	case Coarse:
		return kit{step: pick(r, 0.01, 0.02), sd: uniform(r, 0.004, 0.012), sdRel: uniform(r, 0.03, 0.1),
			limit: pick(r, 0, 0.01), top: 1}
	default:
		return kit{marks: pick(r,
			[]float64{0, 0.03, 0.06, 0.1, 0.2, 0.4},
			[]float64{0, 0.02, 0.05, 0.1, 0.2, 0.5, 1},
			[]float64{0, 0.01, 0.03, 0.06, 0.1, 0.2, 0.5}),
			sdSteps: uniform(r, 0.2, 0.5), halves: r.Float64() < 0.3, limit: pick(r, 0, 1.0)}
	}
}

func nitrateKit(r *rand.Rand, class KitClass, floor float64) kit {
	switch class {
	case Fine:
		return kit{step: 0.1, sd: uniform(r, 0.06, 0.25) * floor, sdRel: uniform(r, 0.02, 0.06),
			limit: pick(r, 0, 0.1, 0.3, 0.5), top: 50}
	case Coarse:
		step := pick(r, 0.5, 1.0)
		return kit{step: step, sd: uniform(r, 0.25, 0.6) * step, sdRel: uniform(r, 0.03, 0.1),
			limit: pick(r, 0, 0.5), top: 100}
	default:
		return kit{marks: pick(r,
			[]float64{0, 2, 5, 10, 20, 50},
			[]float64{0, 1, 2, 5, 10, 20, 50},
			[]float64{0, 0.5, 1, 2.5, 5, 10, 25, 50}),
			sdSteps: uniform(r, 0.2, 0.5), halves: r.Float64() < 0.3, limit: pick(r, 0, 1.0)}
	}
}

// gap is the distance between the scale marks around a concentration.
func (k *kit) gap(conc float64) float64 {
	for i := 1; i < len(k.marks); i++ {
		if conc < k.marks[i] || i == len(k.marks)-1 {
			return k.marks[i] - k.marks[i-1]
		}
	}
	return math.NaN()
}

// spread is the standard deviation of repeated tests at a concentration.
func (k *kit) spread(conc float64) float64 {
	conc = math.Max(conc, 0)
	if k.class == Card {
		return k.sdSteps * k.gap(conc)
	}
	return math.Hypot(k.sd, k.sdRel*conc)
}

// test is one test of water at the concentration given.
func (k *kit) test(r *rand.Rand, day, conc float64) trend.Observation {
	return k.report(day, conc+k.spread(conc)*r.NormFloat64())
}

// report is what is written down when the method sees y.
func (k *kit) report(day, y float64) trend.Observation {
	o := trend.Observation{Day: day, Described: true}
	if k.class == Card {
		k.nearestMark(&o, y)
	} else {
		k.nearestStep(&o, y)
	}
	o.SD = k.told * k.described(o.Value)
	if k.class == Card {
		o.SDBelow, o.SDAbove = k.told*k.spread(math.Nextafter(o.Value, 0)), k.told*k.spread(o.Value)
	}
	return o
}

// described is the spread that goes with a report: as spread, but at a mark of a card by the mean of the gaps on its
// two sides, since which side the truth is on is not known.
func (k *kit) described(value float64) float64 {
	if k.class != Card || value <= 0 {
		return k.spread(value)
	}
	return (k.spread(math.Nextafter(value, 0)) + k.spread(value)) / 2
}

func (k *kit) nearestStep(o *trend.Observation, y float64) {
	switch {
	case k.limit > 0 && y < k.limit:
		o.Value, o.Lo, o.Hi, o.Bound = k.limit, math.Inf(-1), k.limit, trend.Below
	case y > k.top:
		o.Value, o.Lo, o.Hi, o.Bound = k.top, k.top, math.Inf(1), trend.Above
	default:
		o.Value = math.Max(0, math.Round(y/k.step)*k.step)
		o.Lo, o.Hi = o.Value-k.step/2, o.Value+k.step/2
		if o.Value == 0 {
			o.Lo = math.Inf(-1)
		}
	}
}

// nearestMark reports the nearest mark, or half-way value for a reader who writes those. A card's zero means "under the
// first step": some keepers write 0, some "<" and the first mark.
func (k *kit) nearestMark(o *trend.Observation, y float64) {
	scale := k.marks
	if k.halves {
		scale = halved(k.marks)
	}
	if first := k.marks[1]; k.limit > 0 && y < first/2 {
		o.Value, o.Lo, o.Hi, o.Bound = first, math.Inf(-1), first, trend.Below
		return
	}
	last := len(scale) - 1
	i := 0
	for i < last && y > (scale[i]+scale[i+1])/2 {
		i++
	}
	o.Value, o.Lo, o.Hi = scale[i], math.Inf(-1), math.Inf(1)
	if i > 0 {
		o.Lo = (scale[i-1] + scale[i]) / 2
	}
	if i < last {
		o.Hi = (scale[i] + scale[i+1]) / 2
	}
}

// halved is the scale with the mid-points put in.
func halved(marks []float64) []float64 {
	var out []float64
	for i, m := range marks {
		if i > 0 {
			out = append(out, (marks[i-1]+m)/2)
		}
		out = append(out, m)
	}
	return out
}

// generic is the same report for a keeper who never described the method: a guess for the nutrient, and the common kits
// that may stand behind it. Steps and spreads of the guess are common practice, no source.
func generic(o trend.Observation, phosphate bool) trend.Observation {
	guess, kinds := trend.KitKind{Step: 0.1, SD: 0.5, SDRel: 0.10}, trend.NitrateKits()
	if phosphate {
		guess, kinds = trend.KitKind{Step: 0.001, SD: 0.012, SDRel: 0.05}, trend.PhosphateKits()
	}
	shown := guess.Shows(o.Value, o.Bound)
	g := trend.Observation{Day: o.Day, Value: o.Value, Bound: o.Bound, Lo: shown.Lo, Hi: shown.Hi, SD: shown.SD}
	for _, k := range kinds {
		g.Kits = append(g.Kits, k.Shows(o.Value, o.Bound))
	}
	return g
}
