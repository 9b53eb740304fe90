package alerts

import (
	"math"
	"testing"

	"leadline/logbook"
	"leadline/trend"
)

func TestRiseText(t *testing.T) {
	for _, row := range []struct {
		v          float64
		unit, want string
	}{
		{0.9, "dKH", "0.9 dKH"}, // as typed
		{1.858, "dKH", "1.858 dKH"},
		{1340, "mg/L", "1340 mg/L"},
		{0.1 + 0.2, "dKH", "0.3 dKH"},
		{0.00651353, "mg/L", "0.006514 mg/L"}, // 0.1 mL of a recipe in a tank
		{2.125437, "ppb P", "2.125 ppb P"},
		{0.00000251, "mg/L", "0.00000251 mg/L"},
		{-0.3, "", "-0.3"},
		{1, "\x1b[2Jx", "1 x"},
	} {
		if got := RiseText(row.v, row.unit); got != row.want {
			t.Errorf("%v: %q, want %q", row.v, got, row.want)
		}
	}
}

func TestEveryText(t *testing.T) {
	for days, want := range map[float64]string{1: "every day", 7: "every 7 days", 1.5: "every 1.5 days", 6.98: "every 7 days", 0.5: "every 0.5 days", 365: "every 365 days"} {
		if got := everyText(days); got != want {
			t.Errorf("%v: %q, want %q", days, got, want)
		}
	}
}

func TestFloorDays(t *testing.T) {
	never, unknown := math.Inf(1), math.NaN()
	for _, row := range []struct {
		floor, p10, p90 float64
		bottomedOut     bool
		want            string
	}{
		{2, 9.4, 31.2, false, "9–31 d"},
		{2, 62, never, false, "62+ d"},
		{2, 0.2, never, false, "any day"},
		{2, 0.2, 12, false, "0–12 d"},
		{2, never, never, false, ""},
		{2, unknown, unknown, false, ""},
		{2, 0, 0, true, "below it"},
		{unknown, 9, 31, false, ""},
	} {
		l := Finding{Assessment: trend.Assessment{N: 9, Floor: row.floor, FloorP10: row.p10, FloorP90: row.p90, BottomedOut: row.bottomedOut}}
		if got := l.FloorDays(); got != row.want {
			t.Errorf("%+v: %q", row, got)
		}
	}
}

// A level that the decimals of its parameter would show as nothing keeps two digits; what is nothing is shown so.
func TestNumberOfASmallLevel(t *testing.T) {
	p := logbook.Parameter{Name: "phosphate", Unit: "mg/L", Digits: 3}
	for v, want := range map[float64]string{0: "0.000", 0.000092: "0.000092", 0.00046: "0.00046", -0.0002: "-0.00020", 0.0006: "0.001", 0.03: "0.030", 1e-9: "0.000"} {
		if got := Number(p, v); got != want {
			t.Errorf("%v: %q, want %q", v, got, want)
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
