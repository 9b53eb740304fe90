package water

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(a, b, rtol float64) bool {
	return math.Abs(a-b) <= rtol*max(math.Abs(a), math.Abs(b), 1)
}

// changed is the level after a series of equal water changes with nothing added or consumed between them.
func changed(before, newWater, fraction float64, times int) float64 {
	return newWater + (before-newWater)*math.Pow(1-fraction, float64(times))
}

func TestTargetsOfWaterChanges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		before := rapid.Float64Range(1, 100).Draw(t, "before")
		fresh := rapid.Float64Range(0, 100).Draw(t, "new")
		share := rapid.Float64Range(0.02, 0.98).Draw(t, "share")
		f := rapid.Float64Range(0.02, 0.9).Draw(t, "fraction")
		if math.Abs(before-fresh) < 1e-3 {
			return
		}
		target := before + share*(fresh-before)
		n, ok := ChangesForTarget(before, fresh, target, f)
		if !ok {
			t.Fatalf("%v cannot be reached", target)
		}
		if past := (changed(before, fresh, f, n) - target) / (fresh - before); past < -1e-8 {
			t.Fatalf("%d changes fall short of %v", n, target)
		}
		if n > 1 {
			if past := (changed(before, fresh, f, n-1) - target) / (fresh - before); past > 1e-8 {
				t.Fatalf("%d changes would do", n-1)
			}
		}
	})
}

func TestEdgesOfWaterChanges(t *testing.T) {
	for name, row := range map[string]struct {
		before, fresh, target, fraction float64
		want                            int
		ok                              bool
	}{
		"already there": {10, 0, 10, 0.2, 0, true},
		"all at once":   {10, 0, 0, 1, 1, true},
		// 10 × 0.8 × 0.8 is 6.4: two changes, not three for a rounding of the logarithm.
		"just there": {10, 0, 6.4, 0.2, 2, true},
		"never":      {20, 5, 5, 0.1, 0, false},
		"for ever":   {20, 5, 5.0000001, 0.0001, 0, false},
		"beyond":     {20, 5, 4, 0.1, 0, false},
		"away":       {20, 5, 21, 0.1, 0, false},
	} {
		if n, ok := ChangesForTarget(row.before, row.fresh, row.target, row.fraction); n != row.want || ok != row.ok {
			t.Errorf("%s: %d, %v", name, n, ok)
		}
	}
}

// Stepping forward in time settles where the steady formulas say, and gets there as the closed form says.
func TestSteadyStates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(-1, 1).Draw(t, "rise")
		every := rapid.Float64Range(1, 30).Draw(t, "days")
		f := rapid.Float64Range(0.05, 0.9).Draw(t, "fraction")
		fresh := rapid.Float64Range(0, 50).Draw(t, "new")
		start := rapid.Float64Range(0, 50).Draw(t, "start")
		settled, err := SteadyBatch(p, every, f, fresh)
		if err != nil {
			t.Fatal(err)
		}
		level := start
		for n := 1; n <= 400; n++ {
			level = changed(level+p*every, fresh, f, 1)
			if got := changed(start, settled, f, n); !near(got, level, 1e-9) {
				t.Fatalf("after %d changes %v, stepping gives %v", n, got, level)
			}
			if n == 400 && !near(level, settled, 1e-6) {
				t.Fatalf("settles at %v, not %v", level, settled)
			}
		}
	})
}

// Salt is neither made nor lost by topping off and exchanging.
func TestSaltIsConserved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(20, 40).Draw(t, "salinity")
		litres := rapid.Float64Range(20, 2000).Draw(t, "litres")
		evaporated := litres * rapid.Float64Range(0.001, 0.5).Draw(t, "share")
		risen := s * litres / (litres - evaporated)
		if got, err := TopOff(risen, s, litres); err != nil || math.Abs(got-evaporated) > 1e-9*litres {
			t.Fatalf("top off %v, evaporated %v (%v)", got, evaporated, err)
		}
		target := s * rapid.Float64Range(0.5, 1).Draw(t, "down to")
		out, err := FreshWaterToLower(s, litres, target)
		if err != nil {
			t.Fatal(err)
		}
		if salt := s * (litres - out); !near(salt/litres, target, 1e-12) {
			t.Fatalf("%v L of fresh water bring %v to %v, not %v", out, s, salt/litres, target)
		}
		salty := s + rapid.Float64Range(1, 20).Draw(t, "saltier by")
		target = s + (salty-s)*rapid.Float64Range(0, 1).Draw(t, "up to")
		in, err := SaltWaterToRaise(s, litres, target, salty)
		if err != nil {
			t.Fatal(err)
		}
		if salt := s*(litres-in) + salty*in; !near(salt/litres, target, 1e-12) {
			t.Fatalf("%v L of salt water bring %v to %v, not %v", in, s, salt/litres, target)
		}
	})
}
