package trend

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// quietThenFalling is a nutrient that holds 3.7 floors for 40 weeks, read with a scatter of 0.4 floors, and then falls
// by 0.3 floors a week for seven; with changes of 12 % of the water every month, if wanted, for water without nutrient.
func quietThenFalling(seed uint64, changes bool) ([]Observation, []Input) {
	r := rand.New(rand.NewPCG(seed, 40))
	const sd, step = 0.4, 0.1
	var obs []Observation
	var in []Input
	for week := range 47 {
		day := 7 * float64(week)
		level := 3.7 - 0.3*math.Max(0, float64(week-39))
		v := math.Round((level+sd*r.NormFloat64())/step) * step
		obs = append(obs, reading(day, nutrient.Floor*v, nutrient.Floor*step, nutrient.Floor*sd))
		if changes && week%4 == 3 {
			in = append(in, Input{Day: day + 1, Kind: Change, Fraction: 0.12, New: 0})
		}
	}
	return obs, in
}

// A quiet history makes the engine slow to believe in a fall, but not blind: the first one after nine quiet months is
// called by its seventh week, 2 floors lower, in at least three of four tanks (0.4 floors of scatter hide the rest for
// a week or two more). Of forty tanks that were quiet for 36 weeks, 27 tank-years, two at most are called before it
// begins.
func TestFirstFallAfterAQuietHistory(t *testing.T) {
	const tanks = 20
	called, inVain := 0, 0
	for _, changes := range []bool{false, true} {
		for seed := range uint64(tanks) {
			obs, in := quietThenFalling(seed, changes)
			h := Hindcast(obs, in, nutrient)
			if last := h[46]; last.BottomingOut || last.BottomedOut {
				called++
			}
			if slices.ContainsFunc(h[4:40], func(a Assessment) bool { return a.BottomingOut }) {
				inVain++
			}
		}
	}
	if inVain > 2 {
		t.Errorf("%d of %d tanks were called while they were quiet", inVain, 2*tanks)
	}
	if 4*called < 3*2*tanks {
		t.Errorf("%d of %d falls were called by their seventh week", called, 2*tanks)
	}
}
