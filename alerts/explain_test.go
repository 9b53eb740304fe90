package alerts

import (
	"math"
	"testing"

	"leadline/trend"
)

func TestFloorDays(t *testing.T) {
	never, unknown := math.Inf(1), math.NaN()
	for _, row := range []struct {
		floor, p10, p50 float64
		bottomedOut     bool
		want            string
	}{
		{2, 9.4, 31.2, false, "~31 d"},
		{2, 12, never, false, "maybe 12 d"},
		{2, 43, never, false, ""},
		{2, 0.2, never, false, "any day"},
		{2, 0.2, 12, false, "~12 d"},
		{2, never, never, false, ""},
		{2, unknown, unknown, false, ""},
		{2, 0, 0, true, "below it"},
		{unknown, 9, 31, false, ""},
	} {
		l := Finding{Assessment: trend.Assessment{N: 9, Floor: row.floor, FloorP10: row.p10, FloorP50: row.p50,
			BottomedOut: row.bottomedOut}}
		if got := l.FloorDays(); got != row.want {
			t.Errorf("%+v: %q", row, got)
		}
	}
}

// A range that holds a change of everything there is in a week is not printed as if it said something.
func TestSlopeTextOfAnOpenRange(t *testing.T) {
	l := Finding{Series: Series{Parameter: parameter(t, "nitrate")},
		Assessment: trend.Assessment{N: 3, Level: 5, LevelLo: 3, LevelHi: 8, SlopeLo: -0.49, SlopeHi: 3750}}
	if got, want := l.SlopeText(), "no clear direction: so few readings leave it open"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	l.Assessment.SlopeHi = 0.6
	if got, want := l.SlopeText(), "no clear direction (-0.49 to +0.60 mg/L a week)"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestNoDemandOfTemperature(t *testing.T) {
	d := Demand{Parameter: parameter(t, "temperature"), Estimate: trend.Demand{PerDay: 0.01, Lo: -0.1, Hi: 0.1}}
	if got, want := d.Text(), "temperature is not consumed: there is no demand to tell"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
