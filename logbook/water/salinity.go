package water

import "math"

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
