package water

import "math"

// T68 turns an ITS-90 temperature, as thermometers show it since 1990, into IPTS-68, in which the formulas of 1978 and
// 1980 are written: t68 = 1.00024 t90. At 25 °C the two are 0.006 °C apart.
func T68(t90 float64) float64 { return 1.00024 * t90 }

// Density returns the density of seawater in kg/m3 at practical salinity s and ITS-90 temperature t in °C, at one
// atmosphere, by EOS-80. It is valid for 0 <= s <= 42 and -2 <= t <= 40 and extrapolates smoothly a little beyond; NaN
// for a negative salinity.
//
// Reference (published): Fofonoff N.P. & Millard R.C. (1983) Algorithms for computation of fundamental properties of
// seawater. UNESCO technical papers in marine science 44, eqs (13)-(14), p. 17.
func Density(s, t float64) float64 { return density68(s, T68(t)) }

// DensityAt is Density at a pressure in dbar above one atmosphere. No aquarium needs it; it is here because the
// published check values of EOS-80 are given at depth. T is IPTS-68.
//
//	rho(S,t,p) = rho(S,t,0) / (1 - P/K),  P = p/10 bar,  K = K0 + A P + B P²
//
// Reference: as Density, eqs (7), (15)-(19), pp. 15, 18-19. Equation (16) as printed repeats f2 where f3 is meant.
func DensityAt(s, t68, dbar float64) float64 {
	p := dbar / 10
	s15 := s * math.Sqrt(s)
	k0 := poly(t68, 19652.21, 148.4206, -2.327105, 0.01360477, -5.155288e-05) +
		s*poly(t68, 54.6746, -0.603459, 0.0109987, -6.167e-05) +
		s15*poly(t68, 0.07944, 0.016483, -0.00053009)
	a := poly(t68, 3.239908, 0.00143713, 0.000116092, -5.77905e-07) +
		s*poly(t68, 0.0022838, -1.0981e-05, -1.6078e-06) +
		s15*0.000191075
	b := poly(t68, 8.50935e-05, -6.12293e-06, 5.2787e-08) +
		s*poly(t68, -9.9348e-07, 2.0816e-08, 9.1697e-10)
	return density68(s, t68) / (1 - p/(k0+a*p+b*p*p))
}

// density68 is the one-atmosphere equation of state (Millero & Poisson 1981) with an IPTS-68 temperature.
func density68(s, t float64) float64 {
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
