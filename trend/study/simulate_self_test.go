package study

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"
)

// The same seed must give the same series whatever else is drawn, in every world.
func TestSimulateIsDeterministic(t *testing.T) {
	for _, w := range Worlds() {
		a, b := w.Simulate(7, 6), w.Simulate(7, 3)
		if fmt.Sprint(a[:3]) != fmt.Sprint(b) { // printed, since NaN is not equal to itself
			t.Errorf("%s: the first three series depend on how many are drawn", w.Name)
		}
		if reflect.DeepEqual(a[0].Level, w.Simulate(8, 1)[0].Level) {
			t.Errorf("%s: another seed gives the same truth", w.Name)
		}
	}
}

// What a series must be, whatever was drawn.
func TestSimulatedSeriesAreSound(t *testing.T) {
	for _, w := range Worlds() {
		for _, s := range w.Simulate(11, 40) {
			if len(s.Obs) < 20 || len(s.Obs) != len(s.Generic) {
				t.Errorf("%s, series %d: %d readings, %d generic", w.Name, s.Number, len(s.Obs), len(s.Generic))
			}
			for i, o := range s.Obs {
				if !(o.SD > 0) || !(o.Lo < o.Hi) || o.Value < 0 || !(s.Generic[i].Lo < s.Generic[i].Hi) {
					t.Errorf("%s, series %d reading %d: %+v", w.Name, s.Number, i, o)
				}
				if i > 0 && o.Day < s.Obs[i-1].Day {
					t.Errorf("%s, series %d reading %d is out of order", w.Name, s.Number, i)
				}
			}
			for _, x := range s.Level {
				if !(x > 0) || math.IsInf(x, 0) {
					t.Errorf("%s, series %d: level %v", w.Name, s.Number, x)
					break
				}
			}
		}
	}
}

// The altered worlds differ in what their names say.
func TestWorldsAreAltered(t *testing.T) {
	const tanks = 80
	crossings := map[string]float64{}
	for _, w := range Worlds() {
		for _, s := range w.Simulate(5, tanks) {
			crossings[w.Name] += float64(len(s.Crossings())) / tanks
		}
	}
	t.Log(crossings)
	usual := crossings["as drawn above"]
	if again := crossings["tanks that fall again and again"]; again < 1.1*usual {
		t.Errorf("%.2f crossings a tank where they fall again and again, %.2f else", again, usual)
	}
	for _, rare := range []string{"declines a tenth as common", "tanks that fall once, after long quiet"} {
		if crossings[rare] > 0.5*usual {
			t.Errorf("%s: %.2f crossings a tank, %.2f else", rare, crossings[rare], usual)
		}
	}
}

// The filter beside the engine must be worth beating: its intervals hold about what they promise.
func TestSwitchingFilterIsSound(t *testing.T) {
	series := slices.DeleteFunc(Simulate(29, 40), func(s Series) bool { return s.Cadence != Fortnightly })
	c := Calibrate(series, Detector{switchingName, switching}.On(series))
	t.Logf("%d readings: level %.2f, 14 days ahead %.2f, chances off by %.3f", c.Now.All.N, c.Now.All.Share(),
		c.Ahead14.All.Share(), c.P28.Error())
	if now, then := c.Now.All.Share(), c.Ahead14.All.Share(); now < 0.65 || now > 0.92 || then < 0.65 || then > 0.92 {
		t.Errorf("80 %% intervals hold %.2f now and %.2f 14 days ahead", now, then)
	}
}
