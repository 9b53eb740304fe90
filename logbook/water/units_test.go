package water

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// parameters are all that Units knows.
func parameters() []string {
	return []string{
		"alkalinity", "calcium", "magnesium", "nitrate", "phosphate", "nitrite", "ammonia", "silicate", "potassium",
		"strontium", "boron", "iodine", "salinity", "temperature", "pH",
	}
}

func TestFindReadsWhatPeopleType(t *testing.T) {
	for _, row := range []struct{ parameter, typed, name string }{
		{"phosphate", "ppm", "ppm"},
		{"phosphate", "mg/L", "mg/L"},
		{"phosphate", "mg/l", "mg/L"},
		{"phosphate", "MG/L PO4", "mg/L"},
		{"phosphate", "ppm PO4", "ppm"},
		{"phosphate", "ppb P", "ppb P"},
		{"phosphate", "P ppb", "ppb P"},
		{"phosphate", "ug/L P", "ug/L P"},
		{"phosphate", "µg/L as P", "ug/L P"}, // U+00B5 micro sign
		{"phosphate", "μg/L as P", "ug/L P"}, // U+03BC Greek mu
		{"phosphate", "µg P/L", "ug/L P"},
		{"phosphate", "mg/L (as P)", "mg/L P"},
		{"phosphate", "mg/L PO4-P", "mg/L P"},
		{"phosphate", "PO4-P (mg/L)", "mg/L P"},
		{"phosphate", "mg L⁻¹ PO₄³⁻", "mg/L"},
		{"phosphate", "µM", "umol/L"},
		{"phosphate", "umol/L P", "umol/L"},
		{"phosphate", "umol/L P2O5", "umol/L P2O5"},
		{"phosphate", "mg/L P2O5", "mg/L P2O5"},
		{"Phosphate", " ppb ", "ppb"},
		{"nitrate", "mg/L as N", "mg/L N"},
		{"nitrate", "mg/L NO3-N", "mg/L N"},
		{"nitrate", "mg/L NO3", "mg/L"},
		{"nitrate", "mg per litre", "mg/L"},
		{"nitrate", "mg N/L", "mg/L N"},
		{"nitrate", "umol/kg", "umol/kg"},
		{"ammonia", "mg/L total NH3-N", "mg/L N"},
		{"ammonia", "mg/L NH4+", "mg/L NH4"},
		{"ammonia", "mg/L TAN", "mg/L N"},
		{"silicate", "mg/L SiO2", "mg/L"},
		{"silicate", "ppm Si(OH)4", "ppm Si(OH)4"},
		{"magnesium", "Mg mg/L", "mg/L"},
		{"magnesium", "mg/L Mg", "mg/L"},
		{"calcium", "ppm CaCO3", "ppm CaCO3"},
		{"calcium", "g/L", "g/L"},
		{"calcium", "mmol/L", "mmol/L"},
		{"calcium", "mM", "mmol/L"},
		{"iodine", "µg/l", "ug/L"},
		{"iodine", "mg/L I", "mg/L"},
		{"alkalinity", "dkh", "dKH"},
		{"alkalinity", "dKH", "dKH"},
		{"alkalinity", "°dH", "dKH"},
		{"alkalinity", "° dKH", "dKH"},
		{"alkalinity", "KH", "dKH"},
		{"alkalinity", "meq/L", "meq/L"},
		{"alkalinity", "mmol/L", "mmol/L"},
		{"alkalinity", "mg/L CaCO3", "mg/L CaCO3"},
		{"alkalinity", "ppm as CaCO3", "ppm CaCO3"},
		{"alkalinity", "CaCO3 ppm", "ppm CaCO3"},
		{"alkalinity", "µmol/kg", "umol/kg"},
		{"alkalinity", "mg/L HCO3-", "mg/L HCO3"},
		{"temperature", "F", "°F"},
		{"temperature", "°F", "°F"},
		{"temperature", "C", "°C"},
		{"temperature", "degC", "°C"},
		{"temperature", "deg C", "°C"},
		{"temperature", "K", "K"},
		{"salinity", "psu", "PSU"},
		{"salinity", "PSU", "PSU"},
		{"salinity", "ppt", "ppt"},
		{"salinity", "‰", "ppt"},
		{"salinity", "g/kg", "g/kg"},
		{"salinity", "SG", "SG 25/25"},
		{"salinity", "sg 25/25", "SG 25/25"},
		{"salinity", "sg 25/25 °C", "SG 25/25"},
		{"salinity", "sg 20/20", "SG 20/20"},
		{"salinity", "sg20", "SG 20/20"},
		{"salinity", "sg 60F/60F", "SG 60F/60F"},
		{"salinity", "sg 77°F", "SG 77F/77F"},
		{"salinity", "sg 60/60", "SG 60F/60F"},
		{"salinity", "SG (25°C)", "SG 25/25"},
		{"salinity", "specific gravity 25/4", "SG 25/4"},
		{"salinity", "mS/cm", "mS/cm"},
		{"salinity", "µS/cm", "uS/cm"},
		{"salinity", "nD", "nD"},
		{"pH", "", "pH"},
		{"ph", "NBS pH", "pH"},
	} {
		u, err := Find(row.parameter, row.typed)
		if err != nil {
			t.Errorf("Find(%q, %q): %v", row.parameter, row.typed, err)
			continue
		}
		if u.Name() != row.name {
			t.Errorf("Find(%q, %q) is %q, want %q", row.parameter, row.typed, u.Name(), row.name)
		}
	}
}

func TestFindRefusesWhatCouldMeanTwoThings(t *testing.T) {
	for _, row := range []struct{ parameter, typed string }{
		{"phosphate", "mg"},
		{"phosphate", ""},
		{"phosphate", "mg/L N"},
		{"phosphate", "dKH"},
		{"nitrate", "ppt"},
		{"nitrate", "P ppb"},
		{"alkalinity", "mg/L"},
		{"alkalinity", "ppm"},
		{"alkalinity", ""},
		{"salinity", "mg/L"},
		{"salinity", "sg 50C/50C"},
		{"salinity", "sg 45/45"},
		{"salinity", "sg 150/150"},
		{"salinity", "sg 25/"},
		{"salinity", "sg warm"},
		{"temperature", "degrees"},
		{"pH", "total"},
		{"unobtainium", "mg/L"},
	} {
		if u, err := Find(row.parameter, row.typed); err == nil {
			t.Errorf("Find(%q, %q) is %q, want a refusal", row.parameter, row.typed, u.Name())
		}
	}
	_, err := Find("phosphate", "mg")
	if want := `unit "mg" is not known for phosphate; accepted: mg/L, ppm, ug/L, ppb, `; err == nil ||
		!strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want it to start %s", err, want)
	}
}

// No text, however strange, makes the readers of text fall over.
func TestStrangeText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		if u, err := Find(rapid.SampledFrom(parameters()).Draw(t, "parameter"), text); (err == nil) != (u.Name() != "") {
			t.Fatalf("%q gives unit %q and %v", text, u.Name(), err)
		}
		if _, err := FindCustom(text, text); err != nil {
			t.Fatalf("%q is not its own unit: %v", text, err)
		}
		if _, err := FindSalt(text); err == nil {
			t.Logf("%q is a salt", text)
		}
	})
}

func TestNamesReadBack(t *testing.T) {
	for _, p := range parameters() {
		seen := map[string]bool{}
		for _, u := range Units(p) {
			got, err := Find(p, u.Name())
			if err != nil || got != u {
				t.Errorf("Find(%q, %q) = %v, %v; want the unit itself", p, u.Name(), got, err)
			}
			if seen[u.Name()] {
				t.Errorf("%s lists %s twice", p, u.Name())
			}
			seen[u.Name()] = true
		}
	}
}

func TestCanonicalUnitLeavesNumbersAlone(t *testing.T) {
	for _, p := range parameters() {
		u := Units(p)[0]
		for _, v := range []float64{1, 0.1, 8.3, 1e-9, 420, -0.07, math.Inf(1)} {
			if u.Canonical(v) != v || u.FromCanonical(v) != v {
				t.Errorf("%s in %s: %v became %v and %v", p, u, v, u.Canonical(v), u.FromCanonical(v))
			}
		}
	}
}

// Powers of ten must not leave a tail of digits in what is printed back.
func TestPowersOfTenAreExact(t *testing.T) {
	ppb, err := Find("phosphate", "ppb")
	if err != nil {
		t.Fatal(err)
	}
	for i := range 1000 {
		if got, want := ppb.Canonical(float64(i)), float64(i)/1000; got != want {
			t.Fatalf("%d ppb is %v mg/L", i, got)
		}
		if got := ppb.FromCanonical(ppb.Canonical(float64(i))); got != float64(i) {
			t.Fatalf("%d ppb came back as %v", i, got)
		}
	}
}

func TestConversions(t *testing.T) {
	for _, row := range []struct {
		parameter, unit string
		value, want     float64
		tolerance       float64 // relative
		source          string
	}{
		{"phosphate", "ppb P", 33, 0.101181959, 1e-8, "units.json U047"},
		{"phosphate", "mg/L P2O5", 0.747304412, 1, 1e-8, "units.json po4_to_p2o5"},
		{"nitrate", "mg/L N", 1.1295239, 5, 1e-7, "units.json U053"},
		{"nitrite", "mg/L N", 1, 3.28442921, 1e-8, "units.json no2n_to_no2"},
		{"ammonia", "mg/L N", 1, 1.21589205, 1e-8, "units.json nh3n_to_nh3"},
		{"ammonia", "mg/L NH4", 1.05918619, 1, 1e-8, "units.json nh3_to_nh4"},
		{"silicate", "mg/L Si", 1, 2.13932704, 1e-8, "units.json si_to_sio2"},
		{"silicate", "mg/L Si(OH)4", 3.42221827 / 2.13932704, 1, 1e-8, "units.json si_to_sioh4 / si_to_sio2"},
		{"boron", "mg/L B(OH)3", 5.71979648, 1, 1e-8, "units.json b_to_h3bo3"},
		{"boron", "mg/L B(OH)4", 7.29306198, 1, 1e-8, "units.json b_to_boh4"},
		{"iodine", "ug/L IO3", 1378.22695, 1, 1e-8, "units.json i_to_io3"},
		{"calcium", "mg/L CaCO3", 1, 0.400435625, 1e-8, "units.json caco3_to_ca"},
		{"magnesium", "mg/L CaCO3", 1, 0.242841157, 1e-8, "units.json caco3_to_mg"},
		{"calcium", "umol/kg", 10284, 421.782526, 1e-7, "units.json U069"},
		{"calcium", "mg/kg", 410.420284, 420, 1e-7, "units.json U077"},
		{"nitrate", "umol/L", 4.51, 0.2796, 1e-3, "Guan et al. 2015, PLoS ONE 10, e0128831"},
		{"alkalinity", "meq/L", 2.5, 7.009625, 1e-12, "units.json U060"},
		{"alkalinity", "mg/L CaCO3", 125, 7.0036019, 1e-8, "units.json U063"},
		{"alkalinity", "mg/L HCO3", 174.092052, 8, 1e-8, "units.json U056"},
		{"alkalinity", "umol/kg", 2300, 6.59937924, 1e-7, "units.json U074"},
		{"temperature", "°F", 78, 25.5555556, 1e-8, "units.json U093"},
		{"temperature", "K", 298.15, 25, 1e-12, "definition"},
		{"salinity", "SG 25/25", 1.028, 37.145, 1.5e-5, "salinity.json S201"},
		{"salinity", "sg 60F/60F", 1.025, 32.587, 2e-5, "salinity.json S214"},
		{"salinity", "mS/cm", 58, 38.688, 1.5e-5, "salinity.json S095"},
		{"salinity", "uS/cm", 58000, 38.688, 1.5e-5, "salinity.json S095"},
		{"salinity", "g/kg", 35.16504, 35, 1e-12, "salinity.json S260"},
		{"salinity", "g/L", 35.986, 35, 5e-5, "salinity.json S264"},
		{"salinity", "nD", 1.3394, 34.968, 5e-4, "salinity.json S256"},
	} {
		u, err := Find(row.parameter, row.unit)
		if err != nil {
			t.Error(err)
			continue
		}
		if got := u.Canonical(row.value); !(math.Abs(got-row.want) <= row.tolerance*math.Abs(row.want)) {
			t.Errorf("%v %s of %s is %v, want %v (%s)", row.value, row.unit, row.parameter, got, row.want, row.source)
		}
	}
}

func TestImpossibleSalinitiesAreNaN(t *testing.T) {
	for _, row := range []struct {
		unit  string
		value float64
	}{{"SG", 35}, {"SG", 0.9}, {"mS/cm", -1}, {"g/L", -3}, {"nD", 35}, {"nD", 1.3}, {"SG", math.NaN()},
		{"mS/cm", math.NaN()}} {
		u, err := Find("salinity", row.unit)
		if err != nil {
			t.Fatal(err)
		}
		if got := u.Canonical(row.value); !math.IsNaN(got) {
			t.Errorf("%v %s is salinity %v, want NaN", row.value, row.unit, got)
		}
	}
}

// usualRange is where a parameter's canonical values are drawn from in property tests.
func usualRange(parameter string) (lo, hi float64) {
	switch parameter {
	case "salinity":
		return 2, 42 // where PSS-78 holds
	case "temperature":
		return 1, 40
	case "pH":
		return 6, 9
	}
	return 1e-6, 2000
}

func TestRoundTrips(t *testing.T) {
	for _, p := range parameters() {
		for _, u := range Units(p) {
			t.Run(p+" "+u.Name(), rapid.MakeCheck(func(t *rapid.T) {
				lo, hi := usualRange(p)
				v := rapid.Float64Range(lo, hi).Draw(t, "value")
				if got := u.Canonical(u.FromCanonical(v)); !(math.Abs(got-v) <= 1e-12*math.Abs(v)) {
					t.Fatalf("%v came back from %s as %v, %.3g off", v, u, got, got-v)
				}
			}))
		}
	}
}

// A change must be what the difference of two converted values is.
func TestChangesAgreeWithValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(parameters()).Draw(t, "parameter")
		u := rapid.SampledFrom(Units(p)).Draw(t, "unit")
		lo, hi, tolerance := 10.0, 20.0, 1e-9
		if p == "salinity" {
			lo, hi, tolerance = 30, 40, 0.03 // the promise made in the comment of CanonicalChange
		}
		a := rapid.Float64Range(lo, hi-1).Draw(t, "from")
		b := a + rapid.Float64Range(0.1, 1).Draw(t, "rise")
		got, err := u.CanonicalChange(u.FromCanonical(b) - u.FromCanonical(a))
		if err != nil || !(math.Abs(got-(b-a)) <= tolerance*(b-a)) {
			t.Fatalf("%s: rise from %v to %v came out as %v, %v", u, a, b, got, err)
		}
	})
}

func TestLargeChangesOfCurvedScalesAreRefused(t *testing.T) {
	sg, err := Find("salinity", "sg")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := sg.CanonicalChange(0.02); err == nil {
		t.Error("a change of 0.02 in specific gravity was taken as linear")
	}
	// The border lies at 5 in salinity, 0.0038.
	if _, err := sg.CanonicalChange(0.0037); err != nil {
		t.Error(err)
	}
	if _, err := sg.CanonicalChange(0.0039); err == nil {
		t.Error("a change of 0.0039 in specific gravity was taken as linear")
	}
	// 1 PSU is about 0.00076 in specific gravity (practice.json, max_change_per_day, computed).
	if got, err := sg.CanonicalChange(0.00076); err != nil || math.Abs(got-1) > 0.01 {
		t.Errorf("0.00076 in specific gravity is %v, %v; want 1", got, err)
	}
}

func TestCustomUnits(t *testing.T) {
	for _, row := range []struct {
		canonical, typed string
		value, want      float64
	}{
		{"ug/L", "ppb", 3, 3},
		{"ug/L", "mg/L", 0.003, 3},
		{"µg/L", "ug/l", 3, 3},
		{"µg/L", "ng/L", 20, 0.02},
		{"mg/L", "µg/l", 20, 0.02},
		{"ng/L", "g/L", 1, 1e9},
		{"ppm", "mg/l", 5, 5},
		{"mV", "mv", 310, 310},
		{"", "", 4, 4},
	} {
		u, err := FindCustom(row.canonical, row.typed)
		if err != nil {
			t.Errorf("%s from %s: %v", row.canonical, row.typed, err)
			continue
		}
		if got := u.Canonical(row.value); got != row.want {
			t.Errorf("%v %s is %v %s, want %v", row.value, row.typed, got, row.canonical, row.want)
		}
	}
	for _, row := range [][2]string{{"mV", "V"}, {"mg/L", "mmol/L"}, {"mg/L", "mg/L N"}, {"mg/L", ""}} {
		if u, err := FindCustom(row[0], row[1]); err == nil {
			t.Errorf("%q was read as %q for a parameter in %s", row[1], u, row[0])
		}
	}
	if got := CustomUnits("ug/L")[0].Name(); got != "ug/L" {
		t.Errorf("the canonical unit comes first, got %s", got)
	}
}

func TestReefDensity(t *testing.T) {
	if got := Density(35, 25) / 1000; math.Abs(got-reefDensity) > 1e-10 {
		t.Errorf("reefDensity is %v, EOS-80 says %.10f", reefDensity, got)
	}
}

func BenchmarkFind(b *testing.B) {
	for b.Loop() {
		if _, err := Find("phosphate", "µg/L as P"); err != nil {
			b.Fatal(err)
		}
	}
}
