package water

import (
	"fmt"
	"strings"
	"unicode"
)

// Salt is a pure substance that is dosed: what it weighs, what one mole of it delivers, and its alkalinity.
type Salt struct {
	Key     string  // "calcium_chloride_dihydrate"
	Formula string  // "CaCl2.2H2O"
	Name    string  // "calcium chloride dihydrate"
	Molar   float64 // g/mol, without the water of its crystals
	Water   float64 // molecules of that to one of the salt
	Ions    []Ion   // what it delivers that anybody keeps book of
	// AlkalinityEq is the equivalents of alkalinity one mole adds. For phosphates it is counted with H2PO4- as the zero
	// level (Dickson 1981, from memory); what is dosed of them for phosphate makes it negligible.
	AlkalinityEq float64
	Solubility   float64 // see Dissolving
	Note         string  // what is easily got wrong about it; may be empty
}

// Ion is one kind of ion in a salt.
type Ion struct {
	Formula string  // "NO3"
	PerMole float64 // g of it in one mole of the salt
}

// Masses of what several salts are made of, g/mol.
const (
	wH2O = 2*wH + wO
	wNO3 = wN + 3*wO
	wPO4 = wP + 4*wO
	wSO4 = wS + 4*wO
)

// Salts lists the salts commonly dosed to reef tanks. The solubilities are published (see Dissolving); that of calcium
// hydroxide has a source of its own: 0.165 g in 100 g of water (a public chemistry table, its own source not given). As
// little dissolves that g per litre and g per kg of solution differ by less than the figure's own doubt. The solubility
// product would give half of it: it leaves out activities and ion pairs.
func Salts() []Salt {
	return []Salt{
		{Key: "calcium_chloride_anhydrous", Formula: "CaCl2", Name: "calcium chloride, anhydrous",
			Molar: wCa + 2*wCl, Ions: []Ion{{"Ca", wCa}}, Solubility: 42.13,
			Note: "dissolving it gets hot"},
		{Key: "calcium_chloride_dihydrate", Formula: "CaCl2.2H2O", Name: "calcium chloride dihydrate",
			Molar: wCa + 2*wCl, Water: 2, Ions: []Ion{{"Ca", wCa}}, Solubility: 42.13,
			Note: "flakes are sold by CaCl2 content, often 77 to 80 %, pellets 94 to 97 % (common practice, no source); the " +
				"pure dihydrate is 75.49 % CaCl2"},
		{Key: "calcium_chloride_hexahydrate", Formula: "CaCl2.6H2O", Name: "calcium chloride hexahydrate",
			Molar: wCa + 2*wCl, Water: 6, Ions: []Ion{{"Ca", wCa}}, Solubility: 42.13},
		{Key: "sodium_bicarbonate", Formula: "NaHCO3", Name: "sodium hydrogen carbonate (baking soda)",
			Molar: wNa + wH + wC + 3*wO, AlkalinityEq: 1, Solubility: 8.73,
			Note: "heating turns it to carbonate: the same alkalinity in 0.6308 of the mass"},
		{Key: "sodium_carbonate", Formula: "Na2CO3", Name: "sodium carbonate, anhydrous (soda ash)",
			Molar: 2*wNa + wC + 3*wO, AlkalinityEq: 2, Solubility: 17.9},
		{Key: "calcium_hydroxide", Formula: "Ca(OH)2", Name: "calcium hydroxide (slaked lime)",
			Molar: wCa + 2*(wO+wH), Ions: []Ion{{"Ca", wCa}}, AlkalinityEq: 2, Solubility: 0.165,
			Note: "dissolves less in warmer water"},
		{Key: "magnesium_chloride_hexahydrate", Formula: "MgCl2.6H2O", Name: "magnesium chloride hexahydrate",
			Molar: wMg + 2*wCl, Water: 6, Ions: []Ion{{"Mg", wMg}}, Solubility: 35.58},
		{Key: "magnesium_sulfate_heptahydrate", Formula: "MgSO4.7H2O", Name: "magnesium sulfate heptahydrate (Epsom salt)",
			Molar: wMg + wSO4, Water: 7, Ions: []Ion{{"Mg", wMg}, {"SO4", wSO4}}, Solubility: 25.1},
		{Key: "sodium_nitrate", Formula: "NaNO3", Name: "sodium nitrate",
			Molar: wNa + wNO3, Ions: []Ion{{"NO3", wNO3}}, Solubility: 46.6},
		{Key: "potassium_nitrate", Formula: "KNO3", Name: "potassium nitrate",
			Molar: wK + wNO3, Ions: []Ion{{"NO3", wNO3}, {"K", wK}}, Solubility: 24.2},
		{Key: "calcium_nitrate_tetrahydrate", Formula: "Ca(NO3)2.4H2O", Name: "calcium nitrate tetrahydrate",
			Molar: wCa + 2*wNO3, Water: 4, Ions: []Ion{{"NO3", 2 * wNO3}, {"Ca", wCa}}, Solubility: 56.7},
		{Key: "monopotassium_phosphate", Formula: "KH2PO4", Name: "potassium dihydrogen phosphate",
			Molar: wK + 2*wH + wPO4, Ions: []Ion{{"PO4", wPO4}, {"K", wK}}, Solubility: 18.25},
		{Key: "dipotassium_phosphate", Formula: "K2HPO4", Name: "dipotassium hydrogen phosphate, anhydrous",
			Molar: 2*wK + wH + wPO4, Ions: []Ion{{"PO4", wPO4}, {"K", 2 * wK}}, AlkalinityEq: 1, Solubility: 61.5},
		{Key: "trisodium_phosphate_dodecahydrate", Formula: "Na3PO4.12H2O", Name: "trisodium phosphate dodecahydrate",
			Molar: 3*wNa + wPO4, Water: 12, Ions: []Ion{{"PO4", wPO4}}, AlkalinityEq: 2, Solubility: 10.8},
		{Key: "trisodium_phosphate_anhydrous", Formula: "Na3PO4", Name: "trisodium phosphate, anhydrous",
			Molar: 3*wNa + wPO4, Ions: []Ion{{"PO4", wPO4}}, AlkalinityEq: 2, Solubility: 10.8},
		{Key: "disodium_phosphate", Formula: "Na2HPO4", Name: "disodium hydrogen phosphate, anhydrous",
			Molar: 2*wNa + wH + wPO4, Ions: []Ion{{"PO4", wPO4}}, AlkalinityEq: 1, Solubility: 7.51},
		{Key: "potassium_chloride", Formula: "KCl", Name: "potassium chloride",
			Molar: wK + wCl, Ions: []Ion{{"K", wK}}, Solubility: 25.39},
		{Key: "strontium_chloride_hexahydrate", Formula: "SrCl2.6H2O", Name: "strontium chloride hexahydrate",
			Molar: wSr + 2*wCl, Water: 6, Ions: []Ion{{"Sr", wSr}}, Solubility: 34.43},
	}
}

// FindSalt looks a salt of the table up by its key, its formula or its name, in full or without what the name says in
// brackets; or by the everyday word in those brackets ("soda ash").
func FindSalt(text string) (Salt, error) {
	want := strings.ToLower(strings.TrimSpace(text))
	formula := plainFormula(text)
	for _, s := range Salts() {
		full := strings.ToLower(s.Name)
		name, everyday, _ := strings.Cut(strings.TrimSuffix(full, ")"), " (")
		switch {
		case want == "":
		case want == s.Key || want == full || want == name || want == everyday ||
			want == strings.ReplaceAll(s.Key, "_", " ") ||
			formula == s.Formula:
			return s, nil
		}
	}
	if is := saltsLike(want); len(is) > 0 {
		return Salt{}, fmt.Errorf("%q may be %s: name the one on the package", text, strings.Join(is, " or "))
	}
	return Salt{}, fmt.Errorf("%q is not a salt of the table (leadline supplement salts); describe its solution as a "+
		"label does, by what an amount raises", text)
}

// plainFormula is a formula as Salts writes it: without blanks and the small digits of print, with a point before the
// water of the crystals and round brackets.
func plainFormula(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= '₀' && r <= '₉':
			return r - '₀' + '0'
		case unicode.IsSpace(r):
			return -1
		}
		return r
	}, strings.NewReplacer("·", ".", "•", ".", "*", ".", "[", "(", "]", ")").Replace(text))
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

// mass of one mole in g, the water of the crystals included.
func (s Salt) mass() float64 { return s.Molar + s.Water*wH2O }

// PerGram is what 1 g of the pure salt raises in 1 L of water: dKH for "alkalinity", mg/L for any other parameter,
// given by its name ("nitrate") or by the formula of the ion ("NO3").
//
//	alkalinity: 1000 eq/M × 2.80385 dKH,  ion: 1000 n M(ion)/M mg/L
func (s Salt) PerGram(parameter string) (float64, error) {
	if parameter == "alkalinity" && s.AlkalinityEq > 0 {
		return 1000 * s.AlkalinityEq / s.mass() * DKHPerMeq, nil
	}
	ion := parameter
	if list := speciesOf[parameter]; list != nil {
		ion = list[0].label
	}
	for _, i := range s.Ions {
		if i.Formula == ion {
			return 1000 * (i.PerMole / s.mass()), nil
		}
	}
	return 0, fmt.Errorf("%s does not raise %s", s.Name, parameter)
}

// Clash says what precipitates when concentrated solutions of two salts are mixed; "" is nothing. It knows the clashes
// of what is dosed to reef tanks; that it finds none does not make a mixture safe. Separate containers, separate lines,
// different places in strong flow, some minutes to hours apart (common practice, no source).
//
// Reference (published; read through a transcription): CRC Handbook of Chemistry and Physics, 87th ed. (2006), pp.
// 8-118 f., solubility product constants at 25 °C.
func Clash(a, b Salt) (precipitate string) {
	for _, pair := range [][2]Salt{{a, b}, {b, a}} {
		for _, of := range [...]struct{ cation, anion, precipitate string }{
			{"Ca", "CO3", "CaCO3"}, {"Ca", "PO4", "Ca3(PO4)2"}, {"Ca", "SO4", "CaSO4.2H2O"},
			{"Mg", "CO3", "MgCO3"}, {"Mg", "OH", "Mg(OH)2"}, {"Mg", "PO4", "Mg3(PO4)2"},
			{"Sr", "CO3", "SrCO3"}, {"Sr", "SO4", "SrSO4"},
		} {
			soluble := of.precipitate == "MgCO3" && pair[1].has("HCO3")
			if pair[0].has(of.cation) && pair[1].has(of.anion) && !soluble {
				return of.precipitate
			}
		}
	}
	return ""
}

// has reports whether the formula names an element or a group.
func (s Salt) has(group string) bool { return strings.Contains(s.Formula, group) }

// Dissolving is the answer to whether a recipe can be made.
type Dissolving int

const (
	DissolvesUnknown Dissolving = iota // the solubility is not in the table
	Dissolves
	DissolvesBarely // between the bounds: the density of the saturated solution would decide; make it weaker
	DissolvesNot
)

func (d Dissolving) String() string {
	return [...]string{"solubility not known", "dissolves", "may not all dissolve", "does not dissolve"}[d]
}

// Dissolving says whether so many grams of the salt in each litre of finished solution dissolve at 20 °C. Solubility is
// the anhydrous salt's share of the mass of the saturated solution in percent, 0 where it is not known. The density of
// such a solution is above 1 kg/L while the water in a litre of it is less than 1 kg, so that the true limit lies
// between 10 w and 10 r grams of anhydrous salt per litre (w mass percent, r grams per 100 g of water). Below the first
// is yes, above the second is no.
//
// Reference (published; read through two transcriptions that agree): Rumble J. (ed.) CRC Handbook of Chemistry and
// Physics, 98th ed. (2017), table "Aqueous solubility of inorganic compounds at various temperatures".
func (s Salt) Dissolving(gramsPerLitre float64) Dissolving {
	w := s.Solubility / 100
	switch anhydrous := gramsPerLitre * (s.Molar / s.mass()); {
	case w == 0:
		return DissolvesUnknown
	case anhydrous <= 1000*w:
		return Dissolves
	case anhydrous <= 1000*w/(1-w):
		return DissolvesBarely
	}
	return DissolvesNot
}
