package alerts

import (
	"math"
	"testing"
	"time"

	"leadline/logbook"
	"leadline/trend"
)

func parameter(t *testing.T, name string) logbook.Parameter {
	t.Helper()
	for _, p := range logbook.Standard() {
		if p.Name == name {
			return p
		}
	}
	t.Fatalf("no standard parameter %s", name)
	return logbook.Parameter{}
}

func reading(t *testing.T, name, text, unit string) logbook.Reading {
	t.Helper()
	r, err := logbook.ParseReading(parameter(t, name), text, unit)
	if err != nil {
		t.Fatal(err)
	}
	r.Time = time.Date(2026, 3, 7, 9, 10, 0, 0, time.UTC)
	return r
}

// observe is what the engine sees of a reading by a method.
func observe(r logbook.Reading, p logbook.Parameter, m logbook.Method, described bool) (trend.Observation, error) {
	by, err := NewObserver(p, m, described)
	return by.Observe(r), err
}

func TestObserve(t *testing.T) {
	inf := math.Inf(1)
	card := logbook.Method{Name: "nitrate-card", Parameter: "nitrate", Unit: "mg/L",
		Marks: []float64{0, 1, 2, 5, 10, 20, 50}, SDSteps: 0.35}
	photometer := logbook.Method{Name: "photometer-p", Parameter: "phosphate", Unit: "ppb P", Step: 1, SD: 3, Limit: 1}
	meter := logbook.Method{Name: "meter", Parameter: "nitrate", Unit: "mg/L", Step: 0.1, SD: 0.3, SDRel: 0.1}
	// PO4 in P by the molar masses of the 2021 atomic weights: 94.970/30.974 (testdata/reference/units.json).
	const po4 = 94.970 / 30.974 / 1000
	for _, c := range []struct {
		name       string
		r          logbook.Reading
		m          logbook.Method
		lo, hi, sd float64
		bound      trend.Bound
	}{
		{"step", reading(t, "nitrate", "4.2", "mg/L"), meter, 4.15, 4.25, math.Hypot(0.3, 0.42), trend.Exact},
		{"step in the method's own unit", reading(t, "phosphate", "10", "ppb P"), photometer, 9.5 * po4, 10.5 * po4, 3 * po4,
			trend.Exact},
		{"typed in another unit than the method's", reading(t, "phosphate", "0.0306612", "mg/L"), photometer, 9.5 * po4,
			10.5 * po4, 3 * po4, trend.Exact},
		{"under the detection limit", reading(t, "phosphate", "<1", "ppb P"), photometer, -inf, po4, 3 * po4, trend.Below},
		{"a number under the detection limit", reading(t, "phosphate", "0", "ppb P"), photometer, -inf, po4, 3 * po4,
			trend.Exact},
		{"over the range", reading(t, "nitrate", ">50", "mg/L"), card, 50, inf, 0.35 * 30, trend.Above},
		{"mark", reading(t, "nitrate", "5", "mg/L"), card, 3.5, 7.5, 0.35 * 4, trend.Exact},
		{"first mark", reading(t, "nitrate", "0", "mg/L"), card, -inf, 0.5, 0.35, trend.Exact},
		{"last mark", reading(t, "nitrate", "50", "mg/L"), card, 35, inf, 0.35 * 30, trend.Exact},
		{"between two marks", reading(t, "nitrate", "3.5", "mg/L"), card, 2.75, 4.25, 0.35 * 3, trend.Exact},
	} {
		t.Run(c.name, func(t *testing.T) {
			o, err := observe(c.r, parameter(t, c.r.Parameter), c.m, true)
			if err != nil {
				t.Fatal(err)
			}
			near := func(what string, got, want float64) {
				if math.IsInf(want, 0) && got == want {
					return
				}
				if !(math.Abs(got-want) <= 1e-4*math.Abs(want)) { // the atomic weights have five digits
					t.Errorf("%s = %v, want %v", what, got, want)
				}
			}
			near("Lo", o.Lo, c.lo)
			near("Hi", o.Hi, c.hi)
			near("SD", o.SD, c.sd)
			if o.Bound != c.bound {
				t.Errorf("Bound = %v, want %v", o.Bound, c.bound)
			}
			if !o.Described {
				t.Error("the method is described, the observation says it is not")
			}
		})
	}
}

// A bound of the book is turned into one of the engine as it is.
func TestBoundsStandInOneOrder(t *testing.T) {
	for of, want := range map[logbook.Bound]trend.Bound{
		logbook.Exact: trend.Exact, logbook.Below: trend.Below, logbook.Above: trend.Above,
	} {
		if got := trend.Bound(of); got != want {
			t.Errorf("bound %d is %d, want %d", of, got, want)
		}
	}
}

func TestObserveWithoutSpread(t *testing.T) {
	p := parameter(t, "nitrate")
	o, err := observe(reading(t, "nitrate", "4", "mg/L"), p, logbook.Method{Unit: "mg/L", Step: 0.5}, true)
	if err != nil {
		t.Fatal(err)
	}
	if o.SD != 0.25 {
		t.Errorf("SD = %v, want half a step", o.SD)
	}
	o, err = observe(reading(t, "nitrate", "4", "mg/L"), p, logbook.Method{Unit: "mg/L"}, true)
	if err != nil {
		t.Fatal(err)
	}
	if !(o.SD > 0) {
		t.Errorf("SD = %v: the engine needs a spread", o.SD)
	}
}

func TestEveryGenericMethodObserves(t *testing.T) {
	for _, p := range logbook.Standard() {
		mid := (p.AskLow + p.AskHigh) / 2
		r := logbook.Reading{Parameter: p.Name, Value: mid, Time: time.Date(2026, 3, 7, 0, 0, 0, 0, time.UTC)}
		o, err := observe(r, p, p.Generic, false)
		if err != nil {
			t.Errorf("%s: %v", p.Name, err)
			continue
		}
		if !(o.Lo <= mid && mid <= o.Hi) || !(o.SD > 0) || o.Described {
			t.Errorf("%s at %v: %+v", p.Name, mid, o)
		}
	}
}

func TestDayAndTimeOf(t *testing.T) {
	// One day is one day across the change to summer time: 29 March 2026 in Berlin has 23 hours.
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Skip("no time zone data on this machine")
	}
	before := time.Date(2026, 3, 28, 12, 0, 0, 0, berlin)
	after := time.Date(2026, 3, 29, 12, 0, 0, 0, berlin)
	if got := Day(after) - Day(before); math.Abs(got-23.0/24) > 1e-9 {
		t.Errorf("from noon to noon across the change: %v days, want 23/24", got)
	}
	if got := TimeOf(Day(before), berlin); !got.Equal(before) {
		t.Errorf("TimeOf(Day(t)) = %v, want %v", got, before)
	}
}

// Repeated tests of water above a mark scatter by the gap above it, of water below by the gap below.
func TestObserveAtAMarkTellsItsSides(t *testing.T) {
	card := logbook.Method{Name: "nitrate-card", Parameter: "nitrate", Unit: "mg/L",
		Marks: []float64{0, 1, 2, 5, 10, 20, 50}, SDSteps: 0.35}
	for _, c := range []struct {
		text         string
		below, above float64 // 0: the same as SD
	}{{"5", 0.35 * 3, 0.35 * 5}, {"1", 0, 0}, {"3.5", 0, 0}, {"0", 0, 0}, {"2", 0.35, 0.35 * 3}} {
		o, err := observe(reading(t, "nitrate", c.text, "mg/L"), parameter(t, "nitrate"), card, true)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(o.SDBelow-c.below) > 1e-9 || math.Abs(o.SDAbove-c.above) > 1e-9 || o.Kits != nil {
			t.Errorf("%s: %+v, want %v below and %v above", c.text, o, c.below, c.above)
		}
	}
}

// Behind an undescribed reading of a nutrient may stand one of the common kits; a generic method of the keeper's own is
// believed.
func TestObserveNamesCommonKits(t *testing.T) {
	for name, want := range map[string]int{"nitrate": 6, "phosphate": 6, "calcium": 0} {
		p := parameter(t, name)
		o, err := observe(reading(t, name, "8", "mg/L"), p, p.Generic, false)
		if err != nil || len(o.Kits) != want {
			t.Errorf("%s: %d kits, want %d; %v", name, len(o.Kits), want, err)
		}
		p.Generic.Name = "mine"
		if o, err = observe(reading(t, name, "8", "mg/L"), p, p.Generic, false); err != nil || o.Kits != nil {
			t.Errorf("%s by a generic method of the keeper's: %d kits; %v", name, len(o.Kits), err)
		}
	}
}
