package logbook

import (
	"math"
	"strings"
	"testing"
)

func TestSupplementStrength(t *testing.T) {
	parameter := func(name string) Parameter {
		p, ok := FindParameter(Standard(), name)
		if !ok {
			t.Fatal(name)
		}
		return p
	}
	const dKH = 56.077 / 20 // dKH in 1 meq/L, from the molar mass of CaO (testdata/reference/units.json)
	for _, c := range []struct {
		supplement Supplement
		parameter  string
		want       float64 // rise of 1 L by 1 mL
	}{
		// 60 g of Na2CO3 are 60/105.988 mol (2 x 22.990 + 12.011 + 3 x 15.999, standard atomic weights), two equivalents
		// each.
		{Supplement{Salt: "Na2CO3", GramsPerL: 60, Purity: 0.99}, "alkalinity", 0.99 * 60 / 105.988 * 2 * dKH},
		{Supplement{Salt: "Na2CO3", GramsPerL: 60}, "alkalinity", 60 / 105.988 * 2 * dKH},
		// CaCl2.2H2O: 40.078 + 2 x 35.45 + 2 x 18.015 = 147.008 g/mol.
		{Supplement{Salt: "CaCl2.2H2O", GramsPerL: 100}, "calcium", 100.0 / 147.008 * 40.078},
		// "10 mL raise 100 L by 1 dKH": 1 mL raises 1 L by 10 dKH.
		{Supplement{LabelML: 10, LabelL: 100, Label: []LabelRise{{"alkalinity", 1, "dKH"}}}, "alkalinity", 10},
		{Supplement{LabelML: 10, LabelL: 100, Label: []LabelRise{{"alkalinity", 1, "meq/L"}}}, "alkalinity", 10 * dKH},
		// Saturated limewater holds 0.0203 mol/L (Bates, Bower & Smith 1956).
		{Supplement{Limewater: true}, "alkalinity", 0.0203 * 2 * dKH},
		{Supplement{Limewater: true}, "calcium", 0.0203 * 40.078},
	} {
		got, err := c.supplement.Strength(parameter(c.parameter))
		if err != nil || math.Abs(float64(got)/c.want-1) > 1e-4 {
			t.Errorf("%+v for %s: %v, %v; want %v", c.supplement, c.parameter, got, err, c.want)
		}
	}
	for _, s := range []Supplement{{Limewater: true}, {Salt: "Na2CO3", GramsPerL: 1},
		{LabelML: 1, LabelL: 1, Label: []LabelRise{{"calcium", 1, ""}}}} {
		if got, err := s.Strength(parameter("nitrate")); err == nil || !strings.Contains(err.Error(), "nitrate") {
			t.Errorf("%+v for nitrate: %v, %v", s, got, err)
		}
	}
}

func TestSupplementRaises(t *testing.T) {
	for _, c := range []struct {
		supplement Supplement
		want       string
	}{
		{Supplement{Limewater: true}, "alkalinity calcium"},
		{Supplement{Salt: "CaCl2", GramsPerL: 1}, "calcium"},
		{Supplement{Salt: "KNO3", GramsPerL: 1}, "nitrate potassium"},
		{Supplement{Salt: "MgSO4.7H2O", GramsPerL: 1}, "magnesium"},
		{Supplement{LabelML: 1, LabelL: 1, Label: []LabelRise{{"iodine", 0.01, ""}}}, "iodine"},
	} {
		var names []string
		for _, r := range c.supplement.Raises(Standard()) {
			names = append(names, r.Parameter.Name)
		}
		if got := strings.Join(names, " "); got != c.want {
			t.Errorf("%+v raises %q, want %q", c.supplement, got, c.want)
		}
	}
}
