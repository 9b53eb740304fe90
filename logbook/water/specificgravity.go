package water

import "math"

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
