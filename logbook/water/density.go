package water

import "math"

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
