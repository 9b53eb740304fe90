package alerts

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"leadline/logbook/water"
	"leadline/trend"
)

// The levels after a series are those of the published series formula, and so many changes as are said to reach a
// target reach it, and one less does not.
func TestChangeSeriesFollowTheFormula(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := ChangeSeries{
			Fraction: rapid.Float64Range(0.05, 0.6).Draw(t, "fraction"), New: hundredths(t, 12, "new"),
			Times: rapid.IntRange(1, 8).Draw(t, "times"), EveryDays: rapid.Float64Range(1, 14).Draw(t, "every"),
		}
		level, demand, supply := hundredths(t, 20, "level"), rapid.Float64Range(-1, 2).Draw(t, "demand"),
			rapid.Float64Range(0, 2).Draw(t, "supply")
		l := Finding{Assessment: trend.Assessment{Level: level, LevelLo: level - 0.2, LevelHi: level + 0.2}}
		d := Demand{Estimate: trend.Demand{PerDay: demand, Lo: demand - 0.1, Hi: demand + 0.1}}
		after := s.After(l, d, supply, time.Unix(0, 0))
		settled, err := water.SteadyBatch(supply-demand, s.EveryDays, s.Fraction, s.New)
		if err != nil {
			t.Fatal(err)
		}
		for k, a := range after {
			from := level - (supply-demand)*s.EveryDays
			want := settled + (from-settled)*math.Pow(1-s.Fraction, float64(k+1))
			if math.Abs(a.Level-want) > 1e-9*(1+math.Abs(want)) {
				t.Fatalf("after %d changes %v, want %v", k+1, a.Level, want)
			}
			if a.Level >= 0 && !(a.Lo <= a.Level && a.Level < a.Hi) {
				t.Fatalf("%+v", a)
			}
		}
		target := hundredths(t, 20, "target")
		count, err := s.ToReach(l, d, supply, target)
		if err != nil || count < 1 || count > 50 {
			return
		}
		s.Times = count
		after = s.After(l, d, supply, time.Unix(0, 0))
		from := level - (supply-demand)*s.EveryDays
		reached := func(k int) bool { // to within rounding
			return math.Copysign(1, from-target)*(after[k].Level-target) <= 1e-8*(1+math.Abs(target))
		}
		if !reached(count-1) || count > 1 && reached(count-2) &&
			math.Abs(after[count-2].Level-target) > 1e-6 {
			t.Fatalf("%d changes to %v: %+v", count, target, after)
		}
	})
}

// hundredths is a number such as a keeper types; nothing finer can be told from rounding.
func hundredths(t *rapid.T, most int, label string) float64 {
	return float64(rapid.IntRange(0, 100*most).Draw(t, label)) / 100
}

// What nothing is known of is reckoned as consumed by nothing.
func TestChangeSeriesWithoutADemand(t *testing.T) {
	nan := math.NaN()
	l := Finding{Assessment: trend.Assessment{Level: 40, LevelLo: 38, LevelHi: 42}}
	d := Demand{Estimate: trend.Demand{PerDay: nan, Lo: nan, Hi: nan}}
	s := ChangeSeries{Fraction: 0.25, New: 0, Times: 2, EveryDays: 7}
	after := s.After(l, d, 0, time.Unix(0, 0))
	// testdata/reference/dosing.json, water changes: after = new + (before - new)(1 - f)^n.
	if math.Abs(after[0].Level-30) > 1e-12 || math.Abs(after[1].Level-22.5) > 1e-12 {
		t.Errorf("%+v", after)
	}
	if got := after[1].Hi - after[1].Level; math.Abs(got-2*0.75*0.75) > 1e-9 {
		t.Errorf("half interval %v", got)
	}
}
