package water

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// Standard values of the practical salinity scale and of reference salinity.
const (
	// conductivity3515 is the conductivity in mS/cm of seawater of salinity 35 at 15 °C (IPTS-68) and one atmosphere.
	// Published: Culkin F. & Smith N.D. (1980) IEEE J. Oceanic Eng. OE-5, 22-23, the value all libraries carry.
	conductivity3515 = 42.914
	// referencePerPractical is g/kg of Reference Salinity for one unit of practical salinity. Published: Millero F.J.,
	// Feistel R., Wright D.G. & McDougall T.J. (2008) The composition of Standard Seawater and the definition of the
	// Reference-Composition Salinity Scale. Deep-Sea Research I 55, 50-72.
	referencePerPractical = 35.16504 / 35
	// maxSalinity bounds the searches of the inverse functions. PSS-78 and EOS-80 end at 42; brine is not water that
	// anything lives in.
	maxSalinity = 60
)

// SalinityFromConductivity returns practical salinity (PSS-78) from a conductivity in mS/cm at ITS-90 temperature t and
// one atmosphere. With R = C(S,t)/C(35,15) and an IPTS-68 temperature
//
//	Rt = R / rt
//	S  = Σ a_i Rt^(i/2) + (t-15)/(1 + k (t-15)) Σ b_i Rt^(i/2),  i = 0..5
//
// Valid for 2 <= S <= 42 and -2 <= t <= 35; NaN for a conductivity that is not positive.
//
// Reference (published): Fofonoff N.P. & Millard R.C. (1983) Algorithms for computation of fundamental properties of
// seawater. UNESCO technical papers in marine science 44, eqs (1)-(4), pp. 6-8.
func SalinityFromConductivity(mSPerCm, t float64) float64 {
	if !(mSPerCm > 0) {
		return math.NaN()
	}
	t = T68(t)
	return salinityFromRt(mSPerCm/conductivity3515/ratioTemperature(t), t)
}

// ConductivityFromSalinity is the inverse of SalinityFromConductivity: mS/cm at ITS-90 temperature t. PSS-78 has no
// closed inverse; the ratio is found to the last digits of a float. NaN outside 0 < s <= 60.
//
// Reference: as SalinityFromConductivity, eqs (5)-(6), p. 12.
func ConductivityFromSalinity(s, t float64) float64 {
	if !(s > 0 && s <= maxSalinity) {
		return math.NaN()
	}
	t = T68(t)
	rt := solveRising(func(x float64) float64 { return salinityFromRt(x, t) }, s, 0, 3)
	return conductivity3515 * (rt * ratioTemperature(t))
}

// salinityFromRt is PSS-78 proper: salinity from the conductivity ratio at the sample's own temperature.
func salinityFromRt(rt, t68 float64) float64 {
	x := math.Sqrt(rt)
	dt := t68 - 15
	return poly(x, 0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081) +
		dt/(1+0.0162*dt)*poly(x, 0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144)
}

// ratioTemperature is rt = C(35,t,0)/C(35,15,0).
func ratioTemperature(t68 float64) float64 {
	return poly(t68, 0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9)
}

// ReferenceSalinity returns g of salt per kg of seawater (TEOS-10 Reference Salinity) from practical salinity:
// 35.16504/35 s. Reference (published): Millero et al. (2008) Deep-Sea Research I 55, 50-72.
func ReferenceSalinity(practical float64) float64 { return practical * referencePerPractical }

// GramsPerLitre returns g of salt per litre of seawater of practical salinity s at ITS-90 temperature t: Reference
// Salinity times EOS-80 density.
func GramsPerLitre(s, t float64) float64 { return ReferenceSalinity(s) * Density(s, t) / 1000 }

// SalinityFromGramsPerLitre is the inverse of GramsPerLitre; NaN outside the salinities 0..60.
func SalinityFromGramsPerLitre(gPerL, t float64) float64 {
	return solveRising(func(s float64) float64 { return GramsPerLitre(s, t) }, gPerL, 0, maxSalinity)
}

// solveRising finds x in [lo, hi] with f(x) = y for a strictly rising f, to the last bit or two: bisection steps keep
// the bracket, secant steps make it quick. NaN when y lies outside f(lo)..f(hi).
func solveRising(f func(float64) float64, y, lo, hi float64) float64 {
	flo, fhi := f(lo)-y, f(hi)-y
	switch {
	case math.IsNaN(flo) || math.IsNaN(fhi) || flo > 0 || fhi < 0:
		return math.NaN()
	case flo == 0:
		return lo
	case fhi == 0:
		return hi
	}
	for i := 0; i < 200; i++ {
		x := lo - flo*(hi-lo)/(fhi-flo)
		if i%3 == 2 || !(x > lo && x < hi) {
			x = lo + (hi-lo)/2
		}
		if x <= lo || x >= hi {
			break
		}
		switch fx := f(x) - y; {
		case fx == 0:
			return x
		case fx < 0:
			lo, flo = x, fx
		default:
			hi, fhi = x, fx
		}
	}
	if -flo < fhi {
		return lo
	}
	return hi
}

// T68 turns an ITS-90 temperature, as thermometers show it since 1990, into IPTS-68, in which the formulas of 1978 and
// 1980 are written: t68 = 1.00024 t90. At 25 °C the two are 0.006 °C apart.
func T68(t90 float64) float64 { return 1.00024 * t90 }

// Density returns the density of seawater in kg/m3 at practical salinity s and ITS-90 temperature t in °C, at one
// atmosphere, by EOS-80 (Millero & Poisson 1981). It is valid for 0 <= s <= 42 and -2 <= t <= 40 and extrapolates
// smoothly a little beyond; NaN for a negative salinity.
//
// Reference (published): Fofonoff N.P. & Millard R.C. (1983) Algorithms for computation of fundamental properties of
// seawater. UNESCO technical papers in marine science 44, eqs (13)-(14), p. 17.
func Density(s, t float64) float64 {
	t = T68(t)
	pure := poly(t, 999.842594, 0.06793952, -0.00909529, 0.0001001685, -1.120083e-06, 6.536332e-09)
	return pure +
		s*poly(t, 0.824493, -0.0040899, 7.6438e-05, -8.2467e-07, 5.3875e-09) +
		s*math.Sqrt(s)*poly(t, -0.00572466, 0.00010227, -1.6546e-06) +
		s*s*0.00048314
}

// poly is c[0] + c[1] x + c[2] x² + ... by Horner's rule.
func poly(x float64, c ...float64) float64 {
	y := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		y = y*x + c[i]
	}
	return y
}

// SpecificGravity returns the density of seawater of practical salinity s at the sample's temperature over the density
// of pure water at the reference temperature, both ITS-90 °C, by EOS-80. A specific gravity means nothing without its
// two temperatures: salinity 35 reads 1.02637 at 25/25 °C, 1.02660 at 20/20 °C and 1.02686 at 60F/60F.
//
// A hydrometer used in water warmer than its own mark is also changed by the expansion of its glass, about 25e-6 per °C
// (from memory), which is under 0.04 in salinity per °C and left out.
//
// Reference: Density.
func SpecificGravity(s, sample, reference float64) float64 {
	return Density(s, sample) / Density(0, reference)
}

// SalinityFromSpecificGravity is the inverse of SpecificGravity; NaN when no salinity in 0..60 has that specific
// gravity, as when a salinity was typed in its place.
func SalinityFromSpecificGravity(sg, sample, reference float64) float64 {
	if math.IsNaN(sg) {
		return sg
	}
	return solveRising(func(s float64) float64 { return SpecificGravity(s, sample, reference) }, sg, 0, maxSalinity)
}

// SodiumD is the wavelength in nm at which refractometers are marked.
const SodiumD = 589.3

// RefractiveIndex returns the refractive index of seawater of practical salinity s at temperature t in °C for light of
// the given wavelength in nm, at one atmosphere. Valid for 0 <= t <= 30, 0 <= s <= 35 and 400 <= nm <= 700; a salinity
// above 35 is an extrapolation. A hand refractometer with temperature compensation shows the value for 20 °C.
//
//	n = n0 + (n1 + n2 T + n3 T²) S + n4 T² + (n5 + n6 S + n7 T)/L + n8/L² + n9/L³
//
// Reference (published; read through transcriptions that agree): Quan X. & Fry E.S. (1995) Empirical equation for the
// index of refraction of seawater. Applied Optics 34(18), 3477-3480.
func RefractiveIndex(s, t, nm float64) float64 {
	fresh, perSalinity := refraction(t, nm)
	return fresh + perSalinity*s
}

// SalinityFromRefractiveIndex is the inverse of RefractiveIndex, which is linear in salinity. It follows the line
// beyond the valid range: the result may be negative.
func SalinityFromRefractiveIndex(n, t, nm float64) float64 {
	fresh, perSalinity := refraction(t, nm)
	return (n - fresh) / perSalinity
}

// refraction gives the refractive index of fresh water and its rise with one unit of salinity.
func refraction(t, nm float64) (fresh, perSalinity float64) {
	fresh = 1.31405 - 2.02e-06*t*t + (15.868-0.00423*t)/nm - 4382.0/(nm*nm) + 1.1455e6/(nm*nm*nm)
	perSalinity = 1.779e-4 - 1.05e-06*t + 1.6e-08*t*t + 0.01155/nm
	return fresh, perSalinity
}

// Assumptions of the salinity units, each at 25 °C or 20 °C as instruments are made.
const (
	instrumentTemperature   = 25 // °C to which conductivity meters compensate and hydrometers for reef tanks are marked
	refractometerCompensate = 20 // °C to which hand refractometers compensate
)

// salinityUnits has the units of salinity:
//
//   - PSU, practical salinity, which has no unit but is called so; ppt is used as the same number in the trade (common
//     practice, no source).
//   - g/kg, Reference Salinity of TEOS-10: salinity 35 is 35.165 g/kg.
//   - SG a/b, specific gravity of the sample at a °C over pure water at b °C; SG alone is taken as 25/25 °C, and
//     60F/60F is also read.
//   - mS/cm and uS/cm, as shown by a meter that compensates to 25 °C (salinity 35 is 53.07 mS/cm).
//   - g/L of sea salt at 25 °C.
//   - nD, the refractive index for sodium light as a hand refractometer compensates it to 20 °C.
var salinityUnits = []spelled{
	{Unit{"PSU", ratio{1, 1}}, []string{"psu", "pss", "pss78", "practicalsalinity", "practical", "s", "sp"}},
	{Unit{"ppt", ratio{1, 1}}, []string{"ppt", "‰", "o/oo", "0/00"}},
	{Unit{"g/kg", ratio{35, 35.16504}}, []string{"g/kg"}},
	{Unit{"SG 25/25", curve{specificGravity, 25, 25}}, nil}, // see findSpecificGravity
	{Unit{"SG 20/20", curve{specificGravity, 20, 20}}, nil},
	{Unit{"SG 60F/60F", curve{specificGravity, fahrenheit60, fahrenheit60}}, nil},
	{Unit{"mS/cm", curve{milliSiemens, instrumentTemperature, 0}},
		[]string{"ms/cm", "ms", "ms/cm25", "ms/cm@25", "ms/cm25°c", "ms/cmat25°c", "ms/cmat25c"}},
	{Unit{"uS/cm", curve{microSiemens, instrumentTemperature, 0}}, []string{"us/cm", "us", "us/cm25", "us/cm@25"}},
	{Unit{"g/L", curve{saltPerLitre, instrumentTemperature, 0}}, []string{"g/l"}},
	{Unit{"nD", curve{refractive, refractometerCompensate, 0}}, []string{"nd", "ri", "n", "refractiveindex"}},
}

const fahrenheit60 = (60.0 - 32) * 5 / 9

// findSpecificGravity reads a folded specific gravity and its two temperatures: "sg" is 25/25, others are "sg20/20",
// "sg60f/60f", "sg25/4". One temperature stands for both.
func findSpecificGravity(folded string) (Unit, bool) {
	names := []string{"sg", "s.g.", "specificgravity", "relativedensity"}
	i := slices.IndexFunc(names, func(name string) bool { return strings.HasPrefix(folded, name) })
	if i < 0 {
		return Unit{}, false
	}
	folded = strings.TrimPrefix(strings.TrimPrefix(folded[len(names[i]):], "at"), "@")
	if folded == "" {
		return Unit{"SG 25/25", curve{specificGravity, 25, 25}}, true
	}
	first, second, two := strings.Cut(folded, "/")
	if !two {
		second = first
	}
	sample, sampleText, ok1 := hydrometerTemperature(first)
	reference, referenceText, ok2 := hydrometerTemperature(second)
	if !ok1 || !ok2 {
		return Unit{}, false
	}
	return Unit{"SG " + sampleText + "/" + referenceText, curve{specificGravity, sample, reference}}, true
}

// hydrometerTemperature reads "25", "25°c" or "60f" as °C within 0 to 40, and how it is written. A bare number from 50
// on is °F, as in the hydrometer's mark 60/60: no hydrometer is made for water of 60 °C.
func hydrometerTemperature(s string) (celsius float64, written string, ok bool) {
	s = strings.NewReplacer("°", "", "deg", "").Replace(s)
	number := strings.TrimRight(s, "cf")
	v, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return 0, "", false
	}
	written = number
	if strings.HasSuffix(s, "f") || number == s && v >= 50 {
		v = (v - 32) * 5 / 9
		written += "F"
	}
	return v, written, v >= 0 && v <= 40
}
