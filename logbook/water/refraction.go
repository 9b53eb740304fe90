package water

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
