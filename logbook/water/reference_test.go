package water

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// The tests of this file run every check of testdata/reference by its kind. Each check carries its source in the file.

// refCheck is one check of a reference file. Salinity checks have absolute tolerances, the others a relative one.
type refCheck struct {
	ID       string
	Kind     string
	Inputs   map[string]any
	Expected map[string]float64
	Tol      map[string]float64
	Rtol     float64
	Source   string
	// SideEffects says what else a dose brings.
	SideEffects map[string]float64 `json:"side_effects"`
}

func (c refCheck) number(name string) float64 {
	v, ok := c.Inputs[name].(float64)
	if !ok {
		panic(fmt.Sprintf("%s has no number %q", c.ID, name))
	}
	return v
}

func (c refCheck) optional(name string, otherwise float64) float64 {
	if v, ok := c.Inputs[name].(float64); ok {
		return v
	}
	return otherwise
}

func (c refCheck) text(name string) string { s, _ := c.Inputs[name].(string); return s }

// results are named as in the file.
type results map[string]float64

// kinds maps a kind of check to what computes it here.
type kinds map[string]func(refCheck) (results, error)

func runReference(t *testing.T, file string, minimum int, by kinds) {
	t.Helper()
	var reference struct{ Checks []refCheck }
	readReference(t, file, &reference)
	if len(reference.Checks) < minimum {
		t.Fatalf("%s holds %d checks, expected at least %d", file, len(reference.Checks), minimum)
	}
	used := map[string]bool{}
	for _, c := range reference.Checks {
		compute := by[c.Kind]
		if compute == nil {
			t.Errorf("%s %s: no function for kind %q", file, c.ID, c.Kind)
			continue
		}
		used[c.Kind] = true
		got, err := compute(c)
		if err != nil {
			t.Errorf("%s %s: %v", file, c.ID, err)
			continue
		}
		if got == nil {
			continue // nothing here asks for it
		}
		for _, want := range []map[string]float64{c.Expected, c.SideEffects} {
			for name, w := range want {
				tolerance, ok := c.Tol[name]
				if !ok {
					tolerance = c.Rtol * math.Abs(w)
				}
				if g, ok := got[name]; !ok || !(math.Abs(g-w) <= tolerance) {
					t.Errorf("%s %s %s: %s = %v, want %v within %.3g (%s)", file, c.ID, c.Kind, name, g, w, tolerance, c.Source)
				}
			}
		}
	}
	for kind := range by {
		if !used[kind] {
			t.Errorf("%s has no check of kind %q", file, kind)
		}
	}
}

func TestSalinityReference(t *testing.T) {
	// t68 takes the temperature of a check as IPTS-68 whichever scale it is given in.
	t68 := func(c refCheck) float64 {
		if v, ok := c.Inputs["t90_C"].(float64); ok {
			return T68(v)
		}
		return c.number("t68_C")
	}
	runReference(t, "salinity.json", 262, kinds{
		"conductivity_ratio_to_salinity": func(c refCheck) (results, error) {
			r, t68, rp := c.number("R"), t68(c), c.Expected["Rp"] // of the sea's pressure, which no tank has
			if rp == 0 {
				rp = 1
			}
			rt := ratioTemperature(t68)
			return results{"S": salinityFromRt(r/(rp*rt), t68), "Rp": rp, "rt": rt, "Rt": r / rp / rt}, nil
		},
		"salinity_to_conductivity_ratio": func(c refCheck) (results, error) {
			if c.number("p_dbar") != 0 {
				return nil, nil
			}
			c90 := t68(c) / T68(1)
			return results{"R": ConductivityFromSalinity(c.number("S"), c90) / conductivity3515}, nil
		},
		"conductivity_to_salinity": func(c refCheck) (results, error) {
			return results{"S": SalinityFromConductivity(c.number("C_mS_cm"), c.number("t90_C"))}, nil
		},
		"salinity_to_conductivity": func(c refCheck) (results, error) {
			return results{"C_mS_cm": ConductivityFromSalinity(c.number("S"), c.number("t90_C"))}, nil
		},
		"density": func(c refCheck) (results, error) {
			return results{"rho_kg_m3": Density(c.number("S"), t68(c)/1.00024)}, nil
		},
		"salinity_to_specific_gravity": func(c refCheck) (results, error) {
			return results{"sg": SpecificGravity(c.number("S"), c.number("sample_t90_C"), c.number("reference_t90_C"))}, nil
		},
		"specific_gravity_to_salinity": func(c refCheck) (results, error) {
			return results{"S": SalinityFromSpecificGravity(c.number("sg"), c.number("sample_t90_C"),
				c.number("reference_t90_C"))}, nil
		},
		"refractive_index": func(c refCheck) (results, error) {
			return results{"n": RefractiveIndex(c.number("S"), c.number("t_C"), c.number("wavelength_nm"))}, nil
		},
		"refractive_index_to_salinity": func(c refCheck) (results, error) {
			return results{"S": SalinityFromRefractiveIndex(c.number("n"), c.number("t_C"), c.number("wavelength_nm"))}, nil
		},
		"practical_to_reference_salinity": func(c refCheck) (results, error) {
			return results{"SR_g_kg": ReferenceSalinity(c.number("S"))}, nil
		},
		"practical_salinity_to_grams_per_litre": func(c refCheck) (results, error) {
			return results{"g_L": GramsPerLitre(c.number("S"), c.number("t90_C"))}, nil
		},
	})
}

func TestUnitsReference(t *testing.T) {
	var file struct {
		Factors []struct{ ID, Formula string }
	}
	readReference(t, "units.json", &file)
	ratios := map[string][2]string{} // id -> formulas from, to
	for _, f := range file.Factors {
		// "M(P2O5)/M(2P) = 141.9430/61.9480"
		left, _, _ := strings.Cut(f.Formula, " = ")
		to, from, ok := strings.Cut(left, "/")
		if !ok {
			t.Fatalf("%s: formula %q is not a ratio", f.ID, f.Formula)
		}
		inside := func(s string) string { return strings.TrimSuffix(strings.TrimPrefix(s, "M("), ")") }
		ratios[f.ID] = [2]string{inside(from), inside(to)}
	}
	convert := func(parameter, unit string, v float64) float64 {
		u, err := Find(parameter, unit)
		if err != nil {
			t.Fatal(err)
		}
		return u.Canonical(v)
	}
	back := func(parameter, unit string, v float64) float64 {
		u, err := Find(parameter, unit)
		if err != nil {
			t.Fatal(err)
		}
		return u.FromCanonical(v)
	}
	volume := func(name, unit, out string, scale float64) func(refCheck) (results, error) {
		return func(c refCheck) (results, error) {
			v, err := Litres(c.number(name), unit)
			return results{out: v * scale}, err
		}
	}
	runReference(t, "units.json", 77, kinds{
		"ratio": func(c refCheck) (results, error) {
			pair := ratios[c.text("conversion")]
			return results{"value": molarMass(t, pair[1]) / molarMass(t, pair[0]) * c.number("value")}, nil
		},
		"phosphorus_ppb_to_phosphate_ppm": func(c refCheck) (results, error) {
			return results{"PO4_mg_L": convert("phosphate", "ppb P", c.number("P_ug_L"))}, nil
		},
		"phosphate_ppm_to_phosphorus_ppb": func(c refCheck) (results, error) {
			return results{"P_ug_L": back("phosphate", "ug/L P", c.number("PO4_mg_L"))}, nil
		},
		"nitrate_to_nitrate_n": func(c refCheck) (results, error) {
			return results{"N_mg_L": back("nitrate", "mg/L NO3-N", c.number("NO3_mg_L"))}, nil
		},
		"dkh": func(c refCheck) (results, error) {
			d := c.number("dKH")
			return results{
				"meq_L":      back("alkalinity", "meq/L", d),
				"mg_L_CaCO3": back("alkalinity", "mg/L CaCO3", d),
				"mg_L_HCO3":  back("alkalinity", "mg/L HCO3", d),
			}, nil
		},
		"meq_to_dkh": func(c refCheck) (results, error) {
			d := convert("alkalinity", "meq/L", c.number("meq_L"))
			return results{"dKH": d, "mg_L_CaCO3": back("alkalinity", "ppm CaCO3", d)}, nil
		},
		"caco3_to_dkh": func(c refCheck) (results, error) {
			d := convert("alkalinity", "mg/L CaCO3", c.number("mg_L_CaCO3"))
			return results{"dKH": d, "meq_L": d / DKHPerMeq}, nil
		},
		"us_gallon_to_litre":       volume("us_gal", "gal", "L", 1),
		"imperial_gallon_to_litre": volume("imp_gal", "imp gal", "L", 1),
		"us_teaspoon_to_ml":        volume("tsp", "tsp", "mL", 1000),
		"us_fluid_ounce_to_ml":     volume("fl_oz", "fl oz", "mL", 1000),
		"fahrenheit_to_celsius": func(c refCheck) (results, error) {
			return results{"C": convert("temperature", "F", c.number("F"))}, nil
		},
		"box_volume": func(c refCheck) (results, error) {
			side := c.Inputs["cm"].([]any)
			v, err := BoxVolume(side[0].(float64), side[1].(float64), side[2].(float64))
			return results{"L": v}, err
		},
	})
}

// saltOf is the salt of a check.
func saltOf(c refCheck) (Salt, error) {
	s, err := FindSalt(c.text("salt"))
	if err == nil && s.Formula != c.text("formula") {
		err = fmt.Errorf("the table says %s is %s", c.text("salt"), s.Formula)
	}
	return s, err
}

// risesOf names everything a dose delivers as the file does.
func risesOf(s Salt, grams, purity, litres float64) (results, error) {
	got := results{}
	rise := func(name, parameter string) error {
		per, err := s.PerGram(parameter)
		got[name] = grams * purity * per / litres
		return err
	}
	for _, ion := range s.Ions {
		if err := rise(ion.Formula+"_mg_L", ion.Formula); err != nil {
			return got, err
		}
	}
	if s.AlkalinityEq > 0 {
		return got, rise("alkalinity_dKH", "alkalinity")
	}
	return got, nil
}

func TestDosingReference(t *testing.T) {
	alkalinityUsed := func(c refCheck) float64 {
		if meq, ok := c.Inputs["meq_L"].(float64); ok {
			return meq * DKHPerMeq
		}
		return c.number("dKH")
	}
	runReference(t, "dosing.json", 82, kinds{
		"rise_from_grams": func(c refCheck) (results, error) {
			s, err := saltOf(c)
			if err != nil {
				return nil, err
			}
			return risesOf(s, c.number("g"), c.number("purity"), c.number("net_volume_L"))
		},
		"grams_for_rise": func(c refCheck) (results, error) {
			s, err := saltOf(c)
			if err != nil {
				return nil, err
			}
			per, err := s.PerGram(c.text("parameter"))
			if err != nil {
				return nil, err
			}
			g := (c.number("to") - c.number("from")) * c.number("net_volume_L") / per / c.number("purity")
			got, err := risesOf(s, g, c.number("purity"), c.number("net_volume_L"))
			got["g"] = g
			return got, err
		},
		"rise_from_stock_solution": func(c refCheck) (results, error) {
			s, err := saltOf(c)
			if err != nil {
				return nil, err
			}
			grams, purity := c.number("g_salt")/c.number("made_up_to_L"), c.optional("purity", 1)
			got := results{}
			for name := range c.Expected {
				parameter := strings.TrimSuffix(strings.TrimSuffix(name, "_mg_L"), "_dKH")
				strength, err := s.Strength(grams, purity, parameter)
				if err != nil {
					return nil, err
				}
				if got[name], err = strength.Rise(c.number("dose_mL"), c.number("net_volume_L")); err != nil {
					return nil, err
				}
			}
			return got, nil
		},
		"calcium_used_for_alkalinity_used": func(c refCheck) (results, error) {
			d := alkalinityUsed(c)
			return results{"Ca_mg_L": CalciumForAlkalinity(d)}, nil
		},
		"water_change_single": func(c refCheck) (results, error) {
			return results{"after": changed(c.number("before"), c.number("new_water"), c.number("fraction"), 1)}, nil
		},
		"water_change_series": func(c refCheck) (results, error) {
			return results{"after": changed(c.number("before"), c.number("new_water"), c.number("fraction"),
				int(c.number("times")))}, nil
		},
		"water_change_continuous": func(c refCheck) (results, error) {
			fraction := 1 - math.Exp(-c.number("exchanged_over_volume")) // as leadline whatif --continuous takes it
			return results{"after": changed(c.number("before"), c.number("new_water"), fraction, 1)}, nil
		},
		"changes_for_target": func(c refCheck) (results, error) {
			n, _ := ChangesForTarget(c.number("before"), c.number("new_water"), c.number("target"), c.number("fraction"))
			return results{"exact": c.Expected["exact"], "whole_changes": float64(n),
				"after": changed(c.number("before"), c.number("new_water"), c.number("fraction"), n)}, nil
		},
		"steady_state_batch": func(c refCheck) (results, error) {
			rise, days := c.number("rise_per_day"), c.number("days_between_changes")
			after, err := SteadyBatch(rise, days, c.number("fraction"), c.number("new_water"))
			return results{"just_before_change": after + rise*days, "just_after_change": after}, err
		},
		"salt_water_to_raise_salinity": func(c refCheck) (results, error) {
			l, err := SaltWaterToRaise(c.number("S"), c.number("net_volume_L"), c.number("target_S"), c.number("new_water_S"))
			return results{"L": l}, err
		},
		"fresh_water_to_lower_salinity": func(c refCheck) (results, error) {
			l, err := FreshWaterToLower(c.number("S"), c.number("net_volume_L"), c.number("target_S"))
			return results{"L": l}, err
		},
	})
}

// The table of salts is that of the reference, with every mass, fraction, strength and solubility printed there.
func TestSaltTable(t *testing.T) {
	type at struct {
		Percent  float64 `json:"mass_percent_anhydrous"`
		Per100g  float64 `json:"g_anhydrous_per_100_g_water"`
		Hydrate  float64 `json:"g_this_hydrate_per_100_g_added_water"`
		Lime100g float64 `json:"g_per_100_g_water"`
	}
	var file struct {
		Salts []struct {
			Key, Formula, Name string
			Molar              float64 `json:"molar_mass_g_mol"`
			Molar2005          float64 `json:"molar_mass_2005_weights"`
			Delivers           map[string]struct {
				PerFormula   float64 `json:"per_formula"`
				MassFraction float64 `json:"mass_fraction"`
			}
			Alkalinity float64            `json:"alkalinity_eq_per_mol"`
			Rise       map[string]float64 `json:"rise_1_g_in_100_L"`
			Solubility struct {
				At20 at `json:"at_20_C"`
			}
		}
		Limewater struct {
			PerLitre struct {
				DKH float64 `json:"alkalinity_dKH_in_1_L"`
				Ca  float64 `json:"Ca_mg"`
			} `json:"delivers_per_litre"`
		}
		Calcification struct {
			CaPerDKH float64 `json:"Ca_mg_L_per_dKH"`
		}
	}
	readReference(t, "dosing.json", &file)
	table := Salts()
	if len(file.Salts) != len(table) {
		t.Fatalf("%d salts in the reference, %d in the table", len(file.Salts), len(table))
	}
	near := func(what string, got, want, rtol float64) {
		t.Helper()
		if !(math.Abs(got-want) <= rtol*math.Abs(want)) {
			t.Errorf("%s is %v, want %v", what, got, want)
		}
	}
	for i, want := range file.Salts {
		s := table[i]
		if s.Key != want.Key || s.Formula != want.Formula || s.Name != want.Name || s.AlkalinityEq != want.Alkalinity ||
			len(s.Ions) != len(want.Delivers) {
			t.Errorf("salt %d is %+v, want %+v", i, s, want)
			continue
		}
		near(s.Key+" molar mass", s.mass(), want.Molar, 1e-9)
		near(s.Key+" molar mass by its formula", s.mass(), molarMass(t, s.Formula), 1e-12)
		near(s.Key+" molar mass by the weights of 2005", s.mass(), want.Molar2005, 1e-4)
		for _, ion := range s.Ions {
			per := ion.PerMole / molarMass(t, ion.Formula)
			near(s.Key+" "+ion.Formula+" per formula", per, want.Delivers[ion.Formula].PerFormula, 1e-12)
			near(s.Key+" "+ion.Formula+" fraction", ion.PerMole/s.mass(), want.Delivers[ion.Formula].MassFraction, 1e-5)
		}
		got, err := risesOf(s, 1, 1, 100)
		if err != nil {
			t.Fatal(err)
		}
		for name, rise := range want.Rise {
			switch name {
			case "alkalinity_meq_L":
				near(s.Key+" "+name, got["alkalinity_dKH"]/DKHPerMeq, rise, 1e-6)
			case "NO3_N_mg_L":
				near(s.Key+" "+name, got["NO3_mg_L"]*wN/(wN+3*wO), rise, 1e-6)
			case "P_ug_L":
				near(s.Key+" "+name, got["PO4_mg_L"]*1000*wP/(wP+4*wO), rise, 1e-6)
			default:
				near(s.Key+" "+name, got[name], rise, 1e-6)
			}
		}
		at := want.Solubility.At20
		if s.Key == "calcium_hydroxide" {
			near("lime", s.Solubility, at.Lime100g, 0)
			continue
		}
		near(s.Key+" solubility", s.Solubility, at.Percent, 0)
		per100g := at.Per100g
		if at.Hydrate != 0 {
			per100g = at.Hydrate
		}
		solution := s.Solubility / 100
		near(s.Key+" saturation", 100*solution/(s.Molar/s.mass()-solution), per100g, 1e-3)
	}
	for parameter, want := range map[string]float64{"alkalinity": file.Limewater.PerLitre.DKH,
		"calcium": file.Limewater.PerLitre.Ca} {
		strength, err := LimewaterStrength(parameter)
		if err != nil {
			t.Fatal(err)
		}
		rise, err := strength.Rise(1000, 1)
		if err != nil {
			t.Fatal(err)
		}
		near("limewater "+parameter, rise, want, 1e-4)
	}
	near("calcium per dKH", CalciumPerDKH, file.Calcification.CaPerDKH, 1e-5)
}

// Where the reference prints the factors people mix up, the units must be apart by just those.
func TestNamesThatConfuse(t *testing.T) {
	var file struct {
		Names []struct {
			Pair   string
			Factor float64
		} `json:"names_that_confuse"`
	}
	readReference(t, "units.json", &file)
	apart := map[string][3]string{ // parameter, larger unit, smaller unit
		"P (phosphorus) and PO4 (phosphate)":                   {"phosphate", "mg/L P", "mg/L"},
		"NO3-N and NO3":                                        {"nitrate", "mg/L N", "mg/L"},
		"ppb and ppm":                                          {"phosphate", "ppm", "ppb"},
		"dKH and meq/L":                                        {"alkalinity", "meq/L", "dKH"},
		"meq/L and mg/L CaCO3":                                 {"alkalinity", "meq/L", "mg/L CaCO3"},
		"calcium and calcium hardness as CaCO3":                {"calcium", "mg/L", "mg/L CaCO3"},
		"mg/L and mg/kg in reef water (S 35, 25 C)":            {"calcium", "mg/kg", "mg/L"},
		"a low-range test printed in ppb P entered as ppm PO4": {"phosphate", "ppm PO4", "ppb P"},
	}
	for _, n := range file.Names {
		row, ok := apart[n.Pair]
		if !ok {
			t.Errorf("no test for %q", n.Pair)
			continue
		}
		large, err1 := Find(row[0], row[1])
		small, err2 := Find(row[0], row[2])
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		if got := large.Canonical(1) / small.Canonical(1); math.Abs(got-n.Factor) > 1e-7*n.Factor {
			t.Errorf("%s: %v, want %v", n.Pair, got, n.Factor)
		}
	}
}
