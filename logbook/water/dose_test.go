package water

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestFindSalt(t *testing.T) {
	for typed, key := range map[string]string{
		"sodium_carbonate":                   "sodium_carbonate",
		"Soda ash":                           "sodium_carbonate",
		"baking soda":                        "sodium_bicarbonate",
		"sodium hydrogen carbonate":          "sodium_bicarbonate",
		"NaHCO3":                             "sodium_bicarbonate",
		"CaCl2·2H2O":                         "calcium_chloride_dihydrate",
		"CaCl2 * 2 H2O":                      "calcium_chloride_dihydrate",
		"CaCl2":                              "calcium_chloride_anhydrous",
		"calcium chloride dihydrate":         "calcium_chloride_dihydrate",
		"potassium_nitrate":                  "potassium_nitrate",
		"trisodium phosphate, anhydrous":     "trisodium_phosphate_anhydrous",
		"magnesium chloride hexahydrate":     "magnesium_chloride_hexahydrate",
		"  Calcium hydroxide (slaked lime) ": "calcium_hydroxide",
	} {
		if s, err := FindSalt(typed); err != nil || s.Key != key {
			t.Errorf("FindSalt(%q) = %q, %v; want %q", typed, s.Key, err, key)
		}
	}
	for _, typed := range []string{"", "salt", "NaCl", "calcium chloride"} {
		if s, err := FindSalt(typed); err == nil {
			t.Errorf("FindSalt(%q) = %q, want a refusal", typed, s.Key)
		}
	}
}

// Whatever makes no sense is refused, and the message says what it was.
func TestDosesRefuse(t *testing.T) {
	soda, err := FindSalt("NaHCO3")
	if err != nil {
		t.Fatal(err)
	}
	nan := math.NaN()
	only := func(_ any, err error) error { return err }
	for name, row := range map[string]struct {
		err  error
		says string
	}{
		"volume":            {only(Strength(1).Rise(1, -100)), "net volume in L is -100"},
		"no volume":         {only(Strength(1).Rise(1, 0)), "net volume in L is 0"},
		"endless volume":    {only(Strength(1).Rise(1, math.Inf(1))), "infinite"},
		"mass":              {only(soda.Strength(nan, 1, "alkalinity")), "not a number"},
		"purity":            {only(soda.Strength(1, 97, "alkalinity")), "purity is 97"},
		"ion":               {only(soda.PerGram("calcium")), "does not raise calcium"},
		"falling":           {only(Strength(1).Millilitres(-1, 100)), "rise is -1"},
		"label":             {only(LabelStrength(0, 100, 1)), "dose in mL"},
		"strength":          {only(Strength(0).Millilitres(1, 100)), "strength"},
		"negative dose":     {only(Strength(1).Rise(-1, 100)), "dose in mL"},
		"limewater raises":  {only(LimewaterStrength("nitrate")), "does not raise nitrate"},
		"no fraction":       {only(SteadyBatch(1, 7, 0, 0)), "fraction changed is 0"},
		"fraction":          {only(SteadyBatch(1, 7, 20, 0)), "0.2 for 20 %"},
		"salt water":        {only(SaltWaterToRaise(33, 200, 35, 34)), "cannot be reached"},
		"salt water, wrong": {only(SaltWaterToRaise(35, 200, 33, 40)), "does not lower"},
		"fresh water":       {only(FreshWaterToLower(33, 200, 35)), "does not raise"},
		"evaporation":       {only(TopOff(34, 35, 200)), "not evaporation"},
		"small rise":        {only(NetVolumeFromDose(500, 0.2, 0.15, 1)), "gives no volume"},
		"box":               {only(BoxVolume(120, -60, 60)), "width"},
		"volume unit":       {only(Litres(1, "bucket")), "accepted: L"},
	} {
		if row.err == nil || !strings.Contains(row.err.Error(), row.says) {
			t.Errorf("%s: got %v, want a refusal that says %q", name, row.err, row.says)
		}
	}
}

func TestLimewater(t *testing.T) {
	// Calcium and alkalinity come as CaCO3 takes them.
	dKH, err := LimewaterStrength("alkalinity")
	if err != nil {
		t.Fatal(err)
	}
	calcium, err := LimewaterStrength("calcium")
	if err != nil {
		t.Fatal(err)
	}
	if got := CalcificationRatio(float64(dKH), float64(calcium)); math.Abs(got-2) > 1e-12 {
		t.Errorf("ratio %v, want 2", got)
	}
	if got := CalcificationRatio(-1, 4); !math.IsNaN(got) {
		t.Errorf("a ratio of nothing is %v", got)
	}
}

// Saturated solutions that are tabulated by density must fall between the bounds: soda ash at 20 °C, 17.9 % by mass and
// about 1.19 kg/L (density from memory), is 213 g/L.
func TestDissolving(t *testing.T) {
	ash, err := FindSalt("soda ash")
	if err != nil {
		t.Fatal(err)
	}
	for grams, want := range map[float64]Dissolving{
		50: Dissolves, 178: Dissolves, 213: DissolvesBarely, 219: DissolvesNot,
	} {
		if got := ash.Dissolving(grams); got != want {
			t.Errorf("%v g/L: %v, want %v", grams, got, want)
		}
	}
	lime, err := FindSalt("calcium_hydroxide")
	if err != nil {
		t.Fatal(err)
	}
	if got := lime.Dissolving(2); got != DissolvesNot {
		t.Errorf("2 g/L of lime: %v", got)
	}
	own := Salt{Formula: "NaCl", Molar: wNa + wCl}
	if got := own.Dissolving(100); got != DissolvesUnknown {
		t.Errorf("a salt without solubility: %v", got)
	}
}

func TestDosesThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		salt := rapid.SampledFrom(Salts()).Draw(t, "salt")
		purity := rapid.Float64Range(0.5, 1).Draw(t, "purity")
		litres := rapid.Float64Range(10, 5000).Draw(t, "litres")
		grams := rapid.Float64Range(0.001, 1000).Draw(t, "grams")
		parameter := "alkalinity"
		if len(salt.Ions) > 0 {
			parameter = rapid.SampledFrom(salt.Ions).Draw(t, "ion").Formula
		}
		per, err := salt.PerGram(parameter)
		if err != nil {
			t.Fatal(err)
		}
		rise := grams * purity * per / litres
		// The same grams made up as a stock and given whole raise the same.
		volume := rapid.Float64Range(0.1, 10).Draw(t, "stock")
		strength, err := salt.Strength(grams/volume, purity, parameter)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := strength.Rise(1000*volume, litres); err != nil || math.Abs(got-rise) > 1e-12*rise {
			t.Fatalf("as a stock it raises %v, not %v (%v)", got, rise, err)
		}
		// As a label would put it.
		ml, err := strength.Millilitres(rise, litres)
		if err != nil {
			t.Fatal(err)
		}
		if label, err := LabelStrength(ml, litres, rise); err != nil || math.Abs(float64(label/strength)-1) > 1e-12 {
			t.Fatalf("label says %v, strength is %v (%v)", label, strength, err)
		}
		// And the volume can be told from it.
		perGram, err := salt.PerGram(parameter)
		if err != nil {
			t.Fatal(err)
		}
		if v, err := NetVolumeFromDose(perGram*grams*purity, rise, rise/100, 2); err != nil ||
			math.Abs(v.Litres-litres) > 1e-9*litres || math.Abs(v.SD-litres/100) > 1e-9*litres {
			t.Fatalf("volume %+v, want %v (%v)", v, litres, err)
		}
	})
}
