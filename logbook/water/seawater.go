package water

import "math"

// Constituent is one kind of ion or molecule in the Reference Composition of seawater.
type Constituent struct {
	Formula      string
	MassFraction float64 // of sea salt, kg/kg
	Molar        float64 // g/mol, with the 2005 atomic weights by which the composition is defined
	Charge       int
}

// ReferenceComposition lists what sea salt is made of.
//
// Reference (published; read through transcriptions, and proved by sums and charge balance): Millero F.J., Feistel R.,
// Wright D.G. & McDougall T.J. (2008) The composition of Standard Seawater and the definition of the
// Reference-Composition Salinity Scale. Deep-Sea Research I 55, 50-72. Atomic weights: Wieser M.E. (2006) Pure Appl.
// Chem. 78(11), 2051-2066.
func ReferenceComposition() []Constituent { return append([]Constituent(nil), composition[:]...) }

var composition = [...]Constituent{
	{"Na", 0.3065958, 22.98977, 1},
	{"Mg", 0.0365055, 24.305, 2},
	{"Ca", 0.0117186, 40.078, 2},
	{"K", 0.0113495, 39.0983, 1},
	{"Sr", 0.000226, 87.62, 2},
	{"Cl", 0.5503396, 35.453, -1},
	{"SO4", 0.0771319, 96.0626, -2},
	{"HCO3", 0.0029805, 61.01684, -1},
	{"Br", 0.0019134, 79.904, -1},
	{"CO3", 0.0004078, 60.0089, -2},
	{"B(OH)4", 0.0002259, 78.84036, -1},
	{"F", 3.69e-05, 18.9984, -1},
	{"OH", 3.8e-06, 17.00734, -1},
	{"B(OH)3", 0.0005527, 61.83302, 0},
	{"CO2", 1.21e-05, 44.0095, 0},
}

// boron2005 is the atomic weight of boron of 2005.
const boron2005 = 10.811

// NaturalSeawater is what seawater of practical salinity s holds by nature at t °C, in the canonical unit of the
// parameter: every conservative ion goes with salinity, times density. It knows alkalinity, calcium, magnesium, potassium,
// strontium, boron and the ions Br, F and SO4 by formula; ok is false for anything else. Nutrients, iodine and silicate
// are not conservative. At salinity 35 and 25 °C: calcium 421.7, magnesium 1313.7, potassium 408.4, strontium 8.13, boron
// 4.59 mg/L and alkalinity 6.61 dKH (computed); usual targets for tanks lie above that last one.
func NaturalSeawater(parameter string, s, t float64) (value float64, ok bool) {
	kg := ReferenceSalinity(s) / 1000 // of salt per kg
	perLitre := Density(s, t) / 1000
	if math.IsNaN(kg * perLitre) {
		return math.NaN(), false
	}
	switch parameter {
	case "alkalinity":
		mol := moles("HCO3") + 2*moles("CO3") + moles("B(OH)4") + moles("OH")
		return mol * 1000 * kg * perLitre * DKHPerMeq, true
	case "boron":
		return (moles("B(OH)3") + moles("B(OH)4")) * boron2005 * 1000 * kg * perLitre, true
	}
	formula := parameter
	if list := speciesOf(parameter); list != nil {
		formula = list[0].label
	}
	switch formula {
	case "Ca", "Mg", "K", "Sr", "Br", "F", "SO4":
		return moles(formula) * molarOf(formula) * 1000 * kg * perLitre, true
	}
	return 0, false
}

// moles of a constituent in one kg of sea salt.
func moles(formula string) float64 {
	for _, c := range composition {
		if c.Formula == formula {
			return c.MassFraction / c.Molar * 1000
		}
	}
	return math.NaN()
}

func molarOf(formula string) float64 {
	for _, c := range composition {
		if c.Formula == formula {
			return c.Molar
		}
	}
	return math.NaN()
}

// Upper annual means of waters in which coral reefs are found: nitrate and phosphate in mg/L of the ion.
//
// Reference (published; abstract read, converted here from 4.51 and 0.63 umol/L): Guan Y., Hohn S. & Merico A. (2015)
// Suitable environmental ranges for potential coral reef habitats in the tropical ocean. PLoS ONE 10(6), e0128831.
const (
	ReefNitrateLimit   = 4.51 * (wN + 3*wO) / 1000
	ReefPhosphateLimit = 0.63 * (wP + 4*wO) / 1000
)
