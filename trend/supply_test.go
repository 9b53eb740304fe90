package trend

import (
	"math"
	"testing"
)

// steadyAlkalinity is twelve weekly tests of a tank that holds 8.05 dKH.
func steadyAlkalinity() ([]Observation, Settings) {
	var obs []Observation
	for i := range 12 {
		v := 8 + 0.05*float64(i%3)
		obs = append(obs, Observation{Day: float64(7 * i), Value: v, Lo: v - 0.05, Hi: v + 0.05, SD: 0.12, Described: true})
	}
	return obs, Settings{Floor: math.NaN(), Low: 7, High: 9, Wobble: 0.03}
}

// A tank that holds its level rises by just what more dosing brings: 8.05 dKH and the raise times the days (computed).
// The engine allows that a course may end, so a little less is foretold, the less so the sooner.
func TestMoreDosingLiftsByWhatItBrings(t *testing.T) {
	obs, set := steadyAlkalinity()
	for _, base := range []float64{0, 1.8} {
		in := []Input{{Day: -5, Kind: Dosing, Amount: base}}
		for _, raise := range []float64{0.1, 0.2, 0.3, 0.5, 1, 1.5} {
			a := WhatIf(obs, in, 77, []Input{{Day: 77, Kind: Dosing, Amount: base + raise}}, set)
			for _, f := range a.Forecast[:2] {
				lift := raise * f.Days
				if got := f.Mean - a.Level; math.Abs(got-lift) > 0.15*lift+0.1 {
					t.Errorf("from %v by %v: lifted by %.2f in %v days, want about %.2f", base, raise, got, f.Days, lift)
				}
			}
		}
	}
}

// Dosing that is noted changes the slope of today, before a test shows it.
func TestNotedDosingIsInTheSlope(t *testing.T) {
	obs, set := steadyAlkalinity()
	a := Assess(obs, []Input{{Day: 77.5, Kind: Dosing, Amount: 0.9}}, 79, set)
	if want := 0.9 * 7; math.Abs(a.SlopePerWeek-want) > 0.3 {
		t.Errorf("slope %.2f a week, want about %.2f", a.SlopePerWeek, want)
	}
	if want := a.Level + 0.9*7; math.Abs(a.Forecast[0].Mean-want) > 0.5 {
		t.Errorf("in 7 days %.2f, want about %.2f", a.Forecast[0].Mean, want)
	}
	if a.Direction != Rising {
		t.Errorf("direction %v", a.Direction)
	}
}

// Dosing that is stopped lets the level fall by what it brought.
func TestStoppedDosing(t *testing.T) {
	obs, set := steadyAlkalinity()
	in := []Input{{Day: -5, Kind: Dosing, Amount: 0.3}}
	a := WhatIf(obs, in, 77, []Input{{Day: 77, Kind: Dosing}}, set)
	if want := a.Level - 0.3*7; math.Abs(a.Forecast[0].Mean-want) > 0.3 {
		t.Errorf("in 7 days %.2f, want about %.2f", a.Forecast[0].Mean, want)
	}
}

// However much is dosed, there is no ceiling to the forecast but that a course may end.
func TestAnyDosingIsForetold(t *testing.T) {
	obs := falling(0)[:1]
	for i := range 8 {
		obs = append(obs, reading(float64(7*(i+1)), 0.12, 0.003, 0.004))
	}
	for _, raise := range []float64{0.02, 0.2} { // mg/L a day
		a := WhatIf(obs, nil, 56, []Input{{Day: 56, Kind: Dosing, Amount: raise}}, nutrient)
		for _, f := range a.Forecast[:3] {
			if lift := raise * f.Days; math.Abs(f.Mean-a.Level-lift) > 0.15*lift+0.02 {
				t.Errorf("by %v: lifted by %.3f in %v days, want about %.3f", raise, f.Mean-a.Level, f.Days, lift)
			}
		}
	}
}

// A course that the readings of the window show and the latest do not is told beside the direction.
func TestTheCourseSoFarIsTold(t *testing.T) {
	values := []float64{0.138, 0.11, 0.085, 0.07, 0.052, 0.041, 0.033, 0.032, 0.033, 0.033, 0.032, 0.033}
	codes := map[string]Direction{"levelled": Steady, "unclear": Unknown}
	seen := map[string]bool{}
	for i, a := range Hindcast(readingsOf(values...), nil, nutrient) {
		for _, n := range a.Notes {
			if want, is := codes[n.Code]; is {
				seen[n.Code] = true
				if a.Direction != want {
					t.Errorf("reading %d: %q with direction %v", i, n.Text, a.Direction)
				}
			}
		}
	}
	if !seen["levelled"] {
		t.Error("a fall that has come to an end is never told")
	}
}
