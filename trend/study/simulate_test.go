package study

import (
	"fmt"
	"math"
	"reflect"
	"testing"
)

// The same seed must give the same series whatever else is drawn.
func TestSimulateIsDeterministic(t *testing.T) {
	a, b := Simulate(7, 6), Simulate(7, 3)
	if fmt.Sprint(a[:3]) != fmt.Sprint(b) { // printed, since NaN is not equal to itself
		t.Error("the first three series depend on how many are drawn")
	}
	if reflect.DeepEqual(a[0].Level, Simulate(8, 1)[0].Level) {
		t.Error("another seed gives the same truth")
	}
}

// What a series must be, whatever was drawn.
func TestSimulatedSeriesAreSound(t *testing.T) {
	for _, s := range Simulate(11, 60) {
		if len(s.Obs) < 20 || len(s.Obs) != len(s.Generic) {
			t.Errorf("series %d: %d readings, %d generic", s.Number, len(s.Obs), len(s.Generic))
		}
		for i, o := range s.Obs {
			if !(o.SD > 0) || !(o.Lo < o.Hi) || o.Value < 0 || !(s.Generic[i].Lo < s.Generic[i].Hi) {
				t.Errorf("series %d reading %d: %+v", s.Number, i, o)
			}
			if i > 0 && o.Day < s.Obs[i-1].Day {
				t.Errorf("series %d reading %d is out of order", s.Number, i)
			}
		}
		for _, x := range s.Level {
			if !(x > 0) || math.IsInf(x, 0) {
				t.Errorf("series %d: level %v", s.Number, x)
				break
			}
		}
	}
}
