package water

import (
	"slices"
	"strings"
)

// species is one compound in which the amount of a parameter may be expressed: nitrate as NO3 or as N.
type species struct {
	label     string   // "N"; what stands behind the measure in a unit's name
	spellings []string // folded: "n", "no3n"
	molar     float64  // g/mol
	atoms     float64  // how many of what the parameter counts one formula holds: 2 P in P2O5
}

// speciesOf has the species of the parameters that are kept in mg/L, the canonical one first. It is only read.
// Molar masses are sums of the atomic weights below (computed).
var speciesOf = map[string][]species{
	"calcium": {
		{"Ca", []string{"ca", "ca2+", "calcium"}, wCa, 1},
		{"CaCO3", []string{"caco3", "cahardness", "calciumhardness"}, wCa + wC + 3*wO, 1},
	},
	"magnesium": {
		{"Mg", []string{"mg", "mg2+", "magnesium"}, wMg, 1},
		{"CaCO3", []string{"caco3", "mghardness", "magnesiumhardness"}, wCa + wC + 3*wO, 1},
	},
	"nitrate": {
		{"NO3", []string{"no3", "nitrate"}, wN + 3*wO, 1},
		{"N", []string{"n", "no3n", "nitraten", "nitratenitrogen", "nitrogen"}, wN, 1},
	},
	"nitrite": {
		{"NO2", []string{"no2", "nitrite"}, wN + 2*wO, 1},
		{"N", []string{"n", "no2n", "nitriten", "nitritenitrogen", "nitrogen"}, wN, 1},
	},
	"ammonia": {
		{"NH3", []string{"nh3", "ammonia", "totalnh3", "totalammonia"}, wN + 3*wH, 1},
		{"NH4", []string{"nh4", "nh4+", "ammonium"}, wN + 4*wH, 1},
		{"N", []string{"n", "nh3n", "nh4n", "totalnh3n", "ammonian", "ammoniumn", "tan", "nitrogen"}, wN, 1},
	},
	"phosphate": {
		{"PO4", []string{"po4", "po43", "phosphate", "orthophosphate"}, wP + 4*wO, 1},
		{"P", []string{"p", "po4p", "phosphatep", "phosphorus", "phosphatephosphorus"}, wP, 1},
		{"P2O5", []string{"p2o5"}, 2*wP + 5*wO, 2},
	},
	"silicate": {
		{"SiO2", []string{"sio2", "silica"}, wSi + 2*wO, 1},
		{"Si", []string{"si", "sio2si", "silicon"}, wSi, 1},
		{"SiO3", []string{"sio3"}, wSi + 3*wO, 1},
		{"Si(OH)4", []string{"sioh4", "h4sio4", "silicicacid"}, wSi + 4*(wO+wH), 1},
	},
	"potassium": {{"K", []string{"k", "k+", "potassium"}, wK, 1}},
	"strontium": {{"Sr", []string{"sr", "sr2+", "strontium"}, wSr, 1}},
	"boron": {
		{"B", []string{"b", "boron"}, wB, 1},
		{"B(OH)3", []string{"boh3", "h3bo3", "boricacid"}, wB + 3*(wO+wH), 1},
		{"B(OH)4", []string{"boh4", "borate"}, wB + 4*(wO+wH), 1},
	},
	"iodine": {
		{"I", []string{"i", "iodine", "totaliodine"}, wI, 1},
		{"IO3", []string{"io3", "iodate"}, wI + 3*wO, 1},
	},
}

// measure is the part of a concentration unit before the species.
type measure struct {
	name      string
	spellings []string // folded
	kind      measureKind
	num, den  float64 // to mg/L, mmol/L, mg/kg or mmol/kg
}

type measureKind int

const (
	perLitre measureKind = iota
	molesPerLitre
	perKilogram
	molesPerKilogram
)

// reefDensity is the density of seawater in kg/L by which amounts per kg are turned into amounts per litre: salinity 35
// at 25 °C by EOS-80 (computed; a test holds it against Density).
const reefDensity = 1.0233412348

// measures is the table of the measures of concentration; it is only read. ppm and ppb are the trade's words for mg/L
// and ug/L (common practice, no source).
var measures = [...]measure{
	{"mg/L", []string{"mg/l", "mg/dm3"}, perLitre, 1, 1},
	{"ppm", []string{"ppm"}, perLitre, 1, 1},
	{"ug/L", []string{"ug/l", "mcg/l", "ug/dm3", "mg/m3"}, perLitre, 1, 1e3},
	{"ppb", []string{"ppb"}, perLitre, 1, 1e3},
	{"ng/L", []string{"ng/l"}, perLitre, 1, 1e6},
	{"g/L", []string{"g/l"}, perLitre, 1e3, 1},
	{"umol/L", []string{"umol/l", "um", "umol/dm3", "mmol/m3"}, molesPerLitre, 1, 1e3},
	{"mmol/L", []string{"mmol/l", "mm"}, molesPerLitre, 1, 1},
	{"mg/kg", []string{"mg/kg"}, perKilogram, 1, 1},
	{"ug/kg", []string{"ug/kg"}, perKilogram, 1, 1e3},
	{"umol/kg", []string{"umol/kg"}, molesPerKilogram, 1, 1e3},
	{"mmol/kg", []string{"mmol/kg"}, molesPerKilogram, 1, 1},
}

func massMeasure(folded string) (measure, bool) {
	for _, m := range measures {
		if m.kind == perLitre && slices.Contains(m.spellings, folded) {
			return m, true
		}
	}
	return measure{}, false
}

func (m measure) moles() bool { return m.kind == molesPerLitre || m.kind == molesPerKilogram }

func (m measure) unit(s, canon species) Unit {
	u := Unit{name: m.name}
	if s.label != canon.label && !(m.moles() && s.atoms == canon.atoms) {
		u.name += " " + s.label
	}
	r := ratio{m.num, m.den}
	if m.moles() {
		r.num *= s.atoms * canon.molar
	} else if s.label != canon.label {
		r.num *= s.atoms * canon.molar
		r.den *= s.molar
	}
	if m.kind == perKilogram || m.kind == molesPerKilogram {
		r.num *= reefDensity
	}
	u.law = r
	return u
}

func speciesUnits(list []species) []Unit {
	canon := list[0]
	var units []Unit
	for _, m := range measures {
		switch m.name {
		case "mg/L", "ppm", "ug/L", "ppb", "umol/L", "mg/kg", "umol/kg":
			units = append(units, m.unit(canon, canon))
		}
	}
	for _, s := range list[1:] {
		for _, m := range measures[:4] {
			units = append(units, m.unit(s, canon))
		}
	}
	return units
}

// findConcentration reads a folded unit as a measure with or without a species, in any of the orders people write:
// "ppb p", "po4-p ug/l", "mg p/l".
func findConcentration(list []species, folded string) (Unit, bool) {
	for _, m := range measures {
		for _, spelling := range m.spellings {
			label, ok := besides(folded, spelling)
			if !ok {
				continue
			}
			for _, s := range list {
				if label == "" || slices.Contains(s.spellings, label) {
					return m.unit(s, list[0]), true
				}
			}
		}
	}
	return Unit{}, false
}

// besides returns what stands in a folded unit besides the measure: before it, after it, or between its mass and its
// volume.
func besides(folded, spelling string) (string, bool) {
	if rest, ok := strings.CutPrefix(folded, spelling); ok {
		return rest, true
	}
	if rest, ok := strings.CutSuffix(folded, spelling); ok {
		return rest, true
	}
	mass, volume, ok := strings.Cut(spelling, "/")
	if !ok {
		return "", false
	}
	rest, ok := strings.CutPrefix(folded, mass)
	if !ok {
		return "", false
	}
	return strings.CutSuffix(rest, "/"+volume)
}

// Abridged standard atomic weights 2021, g/mol.
//
// Reference (published; read through a public transcription of its table): Prohaska T. et al. (2022) Standard atomic
// weights of the elements 2021 (IUPAC Technical Report). Pure Appl. Chem. 94(5), 573-600.
const (
	wH  = 1.008
	wB  = 10.81
	wC  = 12.011
	wN  = 14.007
	wO  = 15.999
	wNa = 22.990
	wMg = 24.305
	wSi = 28.085
	wP  = 30.974
	wS  = 32.06
	wCl = 35.45
	wK  = 39.098
	wCa = 40.078
	wSr = 87.62
	wI  = 126.90
)
