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

// A tank that holds its level rises by just what more dosing brings: 8.05 dKH and the raise times the days (computed). The
// engine allows that a course may end, so a little less is foretold, the less so the sooner.
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
