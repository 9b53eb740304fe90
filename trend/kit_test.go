package trend

import (
	"math"
	"math/rand/v2"
	"testing"
)

// kinds are a photometer, a kit with steps and a colour scale.
var kinds = [...]KitKind{
	{Name: "a photometer", Step: 0.003, SD: 0.004, SDRel: 0.03},
	{Name: "a kit with steps", Step: 0.02, SD: 0.01, SDRel: 0.08, Exact: true},
	{Name: "a colour card", Step: 0.02, SDRel: 0.35, Scale: true},
}

// undescribed makes readings such as nobody described the method of.
func undescribed(obs []Observation) {
	for i := range obs {
		o := &obs[i]
		o.Described, o.SD, o.SDBelow, o.SDAbove = false, math.Hypot(0.012, 0.05*o.Value), 0, 0
		for _, k := range kinds {
			o.Kits = append(o.Kits, k.Shows(o.Value, o.Bound))
		}
	}
}

func TestKitKindShows(t *testing.T) {
	inf := math.Inf(1)
	photometer, steps, scale := kinds[0], kinds[1], kinds[2]
	for _, c := range []struct {
		name   string
		kind   KitKind
		value  float64
		bound  Bound
		lo, hi float64
		possible,
		scale bool
	}{
		{"a step on either side", photometer, 0.0421, Exact, 0.0406, 0.0436, true, false},
		{"a multiple of the step", steps, 0.06, Exact, 0.05, 0.07, true, false},
		{"no multiple of the step", steps, 0.05, Exact, 0.04, 0.06, false, false},
		{"nothing", steps, 0, Exact, -inf, 0.01, true, false},
		{"a mark", scale, 0.1, Exact, 0.07, 0.15, true, true},
		{"the first mark", scale, 0.02, Exact, 0.01, 0.03, true, true},
		{"no number for a scale", scale, 0.04213, Exact, 0.7 * 0.04213, 1.5 * 0.04213, false, true},
		{"zero on a scale", scale, 0, Exact, -inf, 0.01, true, true},
		{"under a limit", scale, 0.02, Below, -inf, 0.02, true, false},
		{"over the range", steps, 0.5, Above, 0.5, inf, true, false},
	} {
		k := c.kind.Shows(c.value, c.bound)
		near := func(x, y float64) bool { return x == y || math.Abs(x-y) < 1e-12 }
		if !near(k.Lo, c.lo) || !near(k.Hi, c.hi) || (k.Share > 0) != c.possible || k.Scale != c.scale || !(k.SD > 0) {
			t.Errorf("%s: %+v", c.name, k)
		}
	}
}

// The marks that a scale may have anywhere must not add up to more than one mark for each level, nor to much less:
// else having a scale would be more, or less, likely than having an instrument whatever it shows.
func TestSharesOfAScaleAddUpToOne(t *testing.T) {
	scale := KitKind{Step: 1e-4, SDRel: 0.35, Scale: true}
	total := 0.0
	for i := 100; i < 1000; i++ { // every number of three digits in a decade
		k := scale.Shows(float64(i)/100, Exact)
		total += k.Share * math.Log10(k.Hi/k.Lo)
	}
	if total < 0.85 || total > 1.15 {
		t.Errorf("%.3f marks for each level", total)
	}
}

// seenBy are undescribed readings of a level by a colour card, in a tank that wobbles.
func seenBy(r *rand.Rand, level float64, n int) []Observation {
	card := []float64{0, 0.02, 0.05, 0.1, 0.2, 0.5}
	var obs []Observation
	for i := range n {
		y := level * math.Exp(0.08*r.NormFloat64())
		for m := 1; m < len(card); m++ {
			if y < card[m] {
				y += 0.35 * (card[m] - card[m-1]) * r.NormFloat64()
				break
			}
		}
		nearest := card[0]
		for _, m := range card {
			if math.Abs(y-m) < math.Abs(y-nearest) {
				nearest = m
			}
		}
		obs = append(obs, reading(float64(7*i), nearest, 0.003, 0.012))
	}
	undescribed(obs)
	return obs
}

// Readings that are all round numbers are taken for those of a colour card, and 80 % intervals of the level then hold
// it.
func TestACardIsKnownByItsNumbers(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	const all = 120
	held, known := 0, 0
	for range all {
		level := 0.035 * math.Exp(1.2*r.Float64())
		obs := seenBy(r, level, 12)
		e := newEngine(obs, nil, nutrient)
		for _, o := range obs {
			e.read(o, false)
		}
		if e.belief.likelyKit(obs[11].Kits) == "a colour card" {
			known++
		}
		a := Assess(obs, nil, obs[11].Day, nutrient)
		if a.LevelLo*math.Exp(-0.04) <= level && level <= a.LevelHi*math.Exp(0.04) { // the wobble is about the level
			held++
		}
	}
	t.Logf("of %d cards, %d known; of their levels, %d held", all, known, held)
	if known < 0.9*all || held < 0.75*all {
		t.Errorf("of %d cards, %d known; of their levels, %d held", all, known, held)
	}
}

// weights are those of the kinds of kit.
func (e *engine) weights() (w [len(kinds)]float64) {
	e.belief.each(func(m *memberBelief, p *piece) { w[m.kit-1] += p.weight() })
	return w
}

// Multiples of a step speak for the kit with that step; a number that it cannot show rules it out, however sure it was.
func TestANumberThatAKitCannotShowRulesItOut(t *testing.T) {
	obs := readingsOf(0.08, 0.1, 0.12, 0.1, 0.08, 0.12, 0.1, 0.12, 0.08, 0.1, 0.047)
	undescribed(obs)
	e := newEngine(obs, nil, nutrient)
	for _, o := range obs[:10] {
		e.read(o, false)
	}
	if w := e.weights(); w[1] < 0.95 {
		t.Errorf("after ten multiples of its step, the kit with steps has weight %.3f", w[1])
	}
	e.read(obs[10], false)
	if w := e.weights(); w[1] > 1.0/3 || math.Abs(w[0]+w[1]+w[2]-1) > 0.01 {
		t.Errorf("after 0.047, the weights are %.3f", w)
	}
}

// A test of water between two marks that lie farther apart than those below scatters more; so a low mark speaks less
// against a high level than the scatter at that mark would.
func TestScatterDependsOnTheSideOfTheMark(t *testing.T) {
	even := readingsOf(0.1, 0.1, 0.1, 0.05)
	for i := range even {
		even[i].Lo, even[i].Hi, even[i].SD = 0.075, 0.15, 0.026
	}
	even[3].Lo, even[3].Hi, even[3].SD = 0.035, 0.075, 0.014
	sided := append([]Observation(nil), even...)
	sided[3].SDBelow, sided[3].SDAbove = 0.0105, 0.0175
	a, b := Assess(even, nil, 21, nutrient), Assess(sided, nil, 21, nutrient)
	if !(b.LevelHi > a.LevelHi && b.PFloor42 < a.PFloor42) {
		t.Errorf("level up to %.4f, with sides %.4f; chance %.3f, with sides %.3f", a.LevelHi, b.LevelHi, a.PFloor42,
			b.PFloor42)
	}
}
