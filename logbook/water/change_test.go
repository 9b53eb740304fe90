package water

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(a, b, rtol float64) bool {
	return math.Abs(a-b) <= rtol*max(math.Abs(a), math.Abs(b), 1)
}

// A water change done twice is the series formula for two; done in ever smaller parts it is the continuous formula.
func TestWaterChangesCompose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		before := rapid.Float64Range(0, 500).Draw(t, "before")
		fresh := rapid.Float64Range(0, 500).Draw(t, "new")
		f := rapid.Float64Range(0.01, 1).Draw(t, "fraction")
		times := rapid.IntRange(0, 30).Draw(t, "times")
		level := before
		for range times {
			var err error
			if level, err = WaterChanges(level, fresh, f, 1); err != nil {
				t.Fatal(err)
			}
		}
		if got, err := WaterChanges(before, fresh, f, times); err != nil || !near(got, level, 1e-12) {
			t.Fatalf("series gives %v, one after the other %v (%v)", got, level, err)
		}
		small, err := WaterChanges(before, fresh, f/10000, 10000)
		if err != nil {
			t.Fatal(err)
		}
		flow, err := WaterChangeContinuous(before, fresh, f)
		if err != nil || !near(small, flow, 1e-4) {
			t.Fatalf("ten thousand small changes give %v, a flow %v (%v)", small, flow, err)
		}
		once, err := WaterChanges(before, fresh, f, 1)
		if err != nil || math.Abs(once-before) < math.Abs(flow-before)-1e-9 {
			t.Fatalf("one change moves %v, a flow %v (%v)", once-before, flow-before, err)
		}
	})
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
		n, err := ChangesForTarget(before, fresh, target, f)
		if err != nil {
			t.Fatal(err)
		}
		after, err := WaterChanges(before, fresh, f, n.Whole)
		if err != nil || after != n.After {
			t.Fatalf("%+v, but the series gives %v (%v)", n, after, err)
		}
		if past := (n.After - target) / (fresh - before); past < -1e-8 {
			t.Fatalf("%+v falls short of %v", n, target)
		}
		if n.Whole > 1 {
			short, err := WaterChanges(before, fresh, f, n.Whole-1)
			if past := (short - target) / (fresh - before); err != nil || past > 1e-8 {
				t.Fatalf("%d changes would do (%v)", n.Whole-1, err)
			}
		}
	})
}

func TestEdgesOfWaterChanges(t *testing.T) {
	if n, err := ChangesForTarget(10, 0, 10, 0.2); err != nil || n.Whole != 0 || n.After != 10 {
		t.Errorf("already there: %+v, %v", n, err)
	}
	if n, err := ChangesForTarget(10, 0, 0, 1); err != nil || n.Whole != 1 || n.After != 0 {
		t.Errorf("all at once: %+v, %v", n, err)
	}
	// 10 × 0.8 × 0.8 is 6.4: two changes, not three for a rounding of the logarithm.
	if n, err := ChangesForTarget(10, 0, 6.4, 0.2); err != nil || n.Whole != 2 {
		t.Errorf("just there: %+v, %v", n, err)
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
			before := level + p*every
			if level, err = WaterChanges(before, fresh, f, 1); err != nil {
				t.Fatal(err)
			}
			if got, err := WaterChanges(start, settled.JustAfter, f, n); err != nil || !near(got, level, 1e-9) {
				t.Fatalf("after %d changes %v, stepping gives %v (%v)", n, got, level, err)
			}
			if n == 400 && (!near(level, settled.JustAfter, 1e-6) || !near(before, settled.JustBefore, 1e-6)) {
				t.Fatalf("settles at %v and %v, not %+v", before, level, settled)
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
