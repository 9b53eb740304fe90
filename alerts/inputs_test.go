package alerts

import (
	"math"
	"testing"
	"time"

	"leadline/logbook"
	"leadline/trend"
)

func TestInputs(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2026, 3, d, 0, 0, 0, 0, time.UTC) }
	p := parameter(t, "alkalinity")
	in, err := Inputs(p, []logbook.Entry{
		logbook.WaterChange{Time: day(5), Fraction: 0.2,
			New: map[string]logbook.Amount{"alkalinity": {Value: 3, Unit: "meq/L"}}},
		logbook.Dosing{Time: day(1), Parameter: "alkalinity", PerDay: 0.5, Unit: "dKH", Supplement: "soda ash"},
		logbook.Dosing{Time: day(2), Parameter: "alkalinity", PerDay: 0.2, Unit: "dKH", Supplement: "limewater"},
		logbook.Dosing{Time: day(3), Parameter: "alkalinity", PerDay: 0, Unit: "dKH", Supplement: "soda ash"},
		logbook.Dosing{Time: day(3), Parameter: "calcium", PerDay: 9, Unit: "mg/L", Supplement: "calcium chloride"},
		logbook.Dose{Time: day(4), Parameter: "alkalinity", Amount: 0.3, Unit: "meq/L"},
		logbook.WaterChange{Time: day(6), Fraction: 0.1},
	})
	if err != nil {
		t.Fatal(err)
	}
	// 1 meq/L is 56.077/20 dKH, from the molar mass of CaO (testdata/reference/units.json).
	const dKH = 56.077 / 20
	want := []trend.Input{
		{Day: Day(day(1)), Kind: trend.Dosing, Amount: 0.5},
		{Day: Day(day(2)), Kind: trend.Dosing, Amount: 0.7},
		{Day: Day(day(3)), Kind: trend.Dosing, Amount: 0.2},
		{Day: Day(day(4)), Kind: trend.Dose, Amount: 0.3 * dKH},
		{Day: Day(day(5)), Kind: trend.Change, Fraction: 0.2, New: 3 * dKH},
		// the change of day 6 tells nothing of alkalinity
	}
	if len(in) != len(want) {
		t.Fatalf("%d inputs, want %d: %+v", len(in), len(want), in)
	}
	for i, w := range want {
		g := in[i]
		if g.Day != w.Day || g.Kind != w.Kind || math.Abs(g.Amount-w.Amount) > 1e-6 || g.Fraction != w.Fraction {
			t.Errorf("input %d = %+v, want %+v", i, g, w)
		}
		if math.IsNaN(w.New) != math.IsNaN(g.New) || math.Abs(g.New-w.New) > 1e-6 {
			t.Errorf("input %d: new water %v, want %v", i, g.New, w.New)
		}
	}
	if got := trend.Assess(nil, in, Day(day(2))+0.5, trend.Settings{}).Supply; math.Abs(got-0.7) > 1e-12 {
		t.Errorf("supply between day 2 and 3 = %v, want 0.7", got)
	}
}

func TestUnknownNewWaterMattersToNutrientsAlone(t *testing.T) {
	change := []logbook.Entry{logbook.WaterChange{Time: time.Date(2026, 3, 6, 0, 0, 0, 0, time.UTC), Fraction: 0.1}}
	for name, want := range map[string]int{"nitrate": 1, "phosphate": 1, "salinity": 0, "calcium": 0} {
		in, err := Inputs(parameter(t, name), change)
		if err != nil {
			t.Fatal(err)
		}
		if len(in) != want || want == 1 && !math.IsNaN(in[0].New) {
			t.Errorf("%s: %+v, want %d inputs", name, in, want)
		}
	}
}
