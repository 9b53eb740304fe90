package water

import "strings"

// Mixture is what falls out when two stock solutions meet.
type Mixture struct {
	Precipitate string  // "CaCO3"
	Ksp         float64 // solubility product at 25 °C
}

// Clash says whether concentrated solutions of two salts precipitate when they are mixed, and what. It knows the clashes
// of what is dosed to reef tanks; that it finds none does not make a mixture safe. Separate containers, separate lines,
// different places in strong flow, some minutes to hours apart (common practice, no source).
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
