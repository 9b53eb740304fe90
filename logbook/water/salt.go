package water

import (
	"fmt"
	"strings"
)

// Salt is a pure substance that is dosed, described by its formula, what one formula unit delivers, and its alkalinity.
type Salt struct {
	Key     string // "calcium_chloride_dihydrate"
	Formula string // "CaCl2.2H2O"
	Name    string // "calcium chloride dihydrate"
	Ions    []Ion  // what it delivers that anybody keeps book of
	// AlkalinityEq is the equivalents of alkalinity one mole adds. For phosphates it is counted with H2PO4- as the zero
	// level (Dickson 1981, from memory); what is dosed of them for phosphate makes it negligible.
	AlkalinityEq float64
	Solubility   Solubility
	Note         string // what is easily got wrong about it; may be empty
}

// Ion is one kind of ion in a salt.
type Ion struct {
	Formula    string  // "NO3"
	PerFormula float64 // how many one formula unit of the salt holds
}

// Salts lists the salts commonly dosed to reef tanks. Molar masses, mass fractions and strengths are computed from the
// formulas. The solubilities are published (see Solubility); those of calcium hydroxide have sources of their own.
func Salts() []Salt {
	crc := func(at20, at25 float64) Solubility { return Solubility{MassPercent20: at20, MassPercent25: at25} }
	return []Salt{
		{Key: "calcium_chloride_anhydrous", Formula: "CaCl2", Name: "calcium chloride, anhydrous",
			Ions: []Ion{{"Ca", 1}}, Solubility: crc(42.13, 44.83),
			Note: "dissolving it gets hot"},
		{Key: "calcium_chloride_dihydrate", Formula: "CaCl2.2H2O", Name: "calcium chloride dihydrate",
			Ions: []Ion{{"Ca", 1}}, Solubility: crc(42.13, 44.83),
			Note: "flakes are sold by CaCl2 content, often 77 to 80 %, pellets 94 to 97 % (common practice, no source); the " +
				"pure dihydrate is 75.49 % CaCl2"},
		{Key: "calcium_chloride_hexahydrate", Formula: "CaCl2.6H2O", Name: "calcium chloride hexahydrate",
			Ions: []Ion{{"Ca", 1}}, Solubility: crc(42.13, 44.83)},
		{Key: "sodium_bicarbonate", Formula: "NaHCO3", Name: "sodium hydrogen carbonate (baking soda)",
			AlkalinityEq: 1, Solubility: crc(8.73, 9.32),
			Note: "heating turns it to carbonate: the same alkalinity in 0.6308 of the mass"},
		{Key: "sodium_carbonate", Formula: "Na2CO3", Name: "sodium carbonate, anhydrous (soda ash)",
			AlkalinityEq: 2, Solubility: crc(17.9, 23.5)},
		{Key: "calcium_hydroxide", Formula: "Ca(OH)2", Name: "calcium hydroxide (slaked lime)",
			Ions: []Ion{{"Ca", 1}}, AlkalinityEq: 2, Solubility: limeSolubility,
			Note: "dissolves less in warmer water"},
		{Key: "magnesium_chloride_hexahydrate", Formula: "MgCl2.6H2O", Name: "magnesium chloride hexahydrate",
			Ions: []Ion{{"Mg", 1}}, Solubility: crc(35.58, 35.9)},
		{Key: "magnesium_sulfate_heptahydrate", Formula: "MgSO4.7H2O", Name: "magnesium sulfate heptahydrate (Epsom salt)",
			Ions: []Ion{{"Mg", 1}, {"SO4", 1}}, Solubility: crc(25.1, 26.3)},
		{Key: "sodium_nitrate", Formula: "NaNO3", Name: "sodium nitrate",
			Ions: []Ion{{"NO3", 1}}, Solubility: crc(46.6, 47.7)},
		{Key: "potassium_nitrate", Formula: "KNO3", Name: "potassium nitrate",
			Ions: []Ion{{"NO3", 1}, {"K", 1}}, Solubility: crc(24.2, 27.7)},
		{Key: "calcium_nitrate_tetrahydrate", Formula: "Ca(NO3)2.4H2O", Name: "calcium nitrate tetrahydrate",
			Ions: []Ion{{"NO3", 2}, {"Ca", 1}}, Solubility: crc(56.7, 59.0)},
		{Key: "monopotassium_phosphate", Formula: "KH2PO4", Name: "potassium dihydrogen phosphate",
			Ions: []Ion{{"PO4", 1}, {"K", 1}}, Solubility: crc(18.25, 19.97)},
		{Key: "dipotassium_phosphate", Formula: "K2HPO4", Name: "dipotassium hydrogen phosphate, anhydrous",
			Ions: []Ion{{"PO4", 1}, {"K", 2}}, AlkalinityEq: 1, Solubility: crc(61.5, 62.7)},
		{Key: "trisodium_phosphate_dodecahydrate", Formula: "Na3PO4.12H2O", Name: "trisodium phosphate dodecahydrate",
			Ions: []Ion{{"PO4", 1}}, AlkalinityEq: 2, Solubility: crc(10.8, 12.6)},
		{Key: "trisodium_phosphate_anhydrous", Formula: "Na3PO4", Name: "trisodium phosphate, anhydrous",
			Ions: []Ion{{"PO4", 1}}, AlkalinityEq: 2, Solubility: crc(10.8, 12.6)},
		{Key: "disodium_phosphate", Formula: "Na2HPO4", Name: "disodium hydrogen phosphate, anhydrous",
			Ions: []Ion{{"PO4", 1}}, AlkalinityEq: 1, Solubility: crc(7.51, 10.55)},
		{Key: "potassium_chloride", Formula: "KCl", Name: "potassium chloride",
			Ions: []Ion{{"K", 1}}, Solubility: crc(25.39, 26.22)},
		{Key: "strontium_chloride_hexahydrate", Formula: "SrCl2.6H2O", Name: "strontium chloride hexahydrate",
			Ions: []Ion{{"Sr", 1}}, Solubility: crc(34.43, 35.37)},
	}
}

// FindSalt looks a salt of the table up by its key, its formula or its name, in full or without what the name says in
// brackets; or by the everyday word in those brackets ("soda ash").
func FindSalt(text string) (Salt, error) {
	want := strings.ToLower(strings.TrimSpace(text))
	_, err := ParseFormula(text)
	formula := strings.NewReplacer("·", ".", "•", ".", "*", ".", "[", "(", "]", ")").Replace(plainDigits(text))
	for _, s := range Salts() {
		full := strings.ToLower(s.Name)
		name, everyday, _ := strings.Cut(strings.TrimSuffix(full, ")"), " (")
		switch {
		case want == "":
		case want == s.Key || want == full || want == name || want == everyday || want == strings.ReplaceAll(s.Key, "_", " "):
			return s, nil
		case err == nil && formula == s.Formula:
			return s, nil
		}
	}
	if is := saltsLike(want); len(is) > 0 {
		return Salt{}, fmt.Errorf("%q may be %s: name the one on the package", text, strings.Join(is, " or "))
	}
	return Salt{}, fmt.Errorf("%q is not a salt of the table (leadline supplement salts); describe its solution as a "+
		"label does, by what an amount raises", text)
}

// saltsLike are the formulas of the salts whose formula or name goes on after the text, with the water of the crystals.
func saltsLike(text string) (formulas []string) {
	for _, s := range Salts() {
		if text != "" && (strings.HasPrefix(strings.ToLower(s.Formula), text+".") ||
			strings.HasPrefix(strings.ToLower(s.Name), text)) {
			formulas = append(formulas, s.Formula)
		}
	}
	return formulas
}

// MolarMass of the salt in g/mol.
func (s Salt) MolarMass() (float64, error) { return MolarMass(s.Formula) }

// MassFraction is the share of an ion in the salt's mass, n M(ion) / M(salt); 0 if it holds none.
func (s Salt) MassFraction(ion string) (float64, error) {
	whole, err := MolarMass(s.Formula)
	if err != nil {
		return 0, err
	}
	for _, i := range s.Ions {
		if i.Formula == ion {
			part, err := MolarMass(ion)
			return i.PerFormula * part / whole, err
		}
	}
	return 0, nil
}

// PerGram is what 1 g of the pure salt raises in 1 L of water: dKH for "alkalinity", mg/L for any other parameter,
// given by its name ("nitrate") or by the formula of the ion ("NO3").
//
//	alkalinity: 1000 eq/M × 2.80385 dKH,  ion: 1000 n M(ion)/M mg/L
func (s Salt) PerGram(parameter string) (float64, error) {
	if parameter == "alkalinity" {
		m, err := s.MolarMass()
		if err != nil || s.AlkalinityEq > 0 {
			return 1000 * s.AlkalinityEq / m * DKHPerMeq, err
		}
	} else {
		ion := parameter
		if list := speciesOf(parameter); list != nil {
			ion = list[0].label
		}
		f, err := s.MassFraction(ion)
		if err != nil || f > 0 {
			return 1000 * f, err
		}
	}
	return 0, fmt.Errorf("%s does not raise %s", s.Name, parameter)
}

// Mixture is what falls out when two stock solutions meet.
type Mixture struct {
	Precipitate string  // "CaCO3"
	Ksp         float64 // solubility product at 25 °C
}

// Clash says whether concentrated solutions of two salts precipitate when they are mixed, and what. It knows the
// clashes of what is dosed to reef tanks; that it finds none does not make a mixture safe. Separate containers,
// separate lines, different places in strong flow, some minutes to hours apart (common practice, no source).
//
// Reference for the products (published; read through a transcription): CRC Handbook of Chemistry and Physics, 87th ed.
// (2006), pp. 8-118 f., solubility product constants at 25 °C.
func Clash(a, b Salt) (Mixture, bool) {
	x, y := natureOf(a), natureOf(b)
	for _, pair := range [][2]nature{{x, y}, {y, x}} {
		switch cation, anion := pair[0], pair[1]; {
		case cation.calcium && (anion.carbonate || anion.bicarbonate):
			return Mixture{"CaCO3", 3.36e-9}, true
		case cation.calcium && anion.phosphate:
			return Mixture{"Ca3(PO4)2", 2.07e-33}, true
		case cation.calcium && anion.sulfate:
			return Mixture{"CaSO4.2H2O", 3.14e-5}, true
		case cation.magnesium && anion.carbonate:
			return Mixture{"MgCO3", 6.82e-6}, true
		case cation.magnesium && anion.hydroxide:
			return Mixture{"Mg(OH)2", 5.61e-12}, true
		case cation.magnesium && anion.phosphate:
			return Mixture{"Mg3(PO4)2", 1.04e-24}, true
		case cation.strontium && (anion.carbonate || anion.bicarbonate):
			return Mixture{"SrCO3", 5.6e-10}, true
		case cation.strontium && anion.sulfate:
			return Mixture{"SrSO4", 3.44e-7}, true
		}
	}
	return Mixture{}, false
}

// nature is what kinds of ions a salt is made of, as far as mixing and handling it go.
type nature struct {
	calcium, magnesium, strontium                                  bool
	carbonate, bicarbonate, hydroxide, phosphate, sulfate, nitrate bool
}

// natureOf reads it from the formula.
func natureOf(s Salt) nature {
	f, err := ParseFormula(s.Formula)
	if err != nil {
		return nature{}
	}
	has := func(group string) bool { return strings.Contains(f.String(), group) }
	bicarbonate := has("HCO3")
	return nature{
		calcium: f.Atoms("Ca") > 0, magnesium: f.Atoms("Mg") > 0, strontium: f.Atoms("Sr") > 0,
		bicarbonate: bicarbonate, carbonate: has("CO3") && !bicarbonate,
		hydroxide: has("OH"), phosphate: has("PO4"), sulfate: has("SO4"), nitrate: has("NO3"),
	}
}
