package water

import "math"

// law is how a unit's numbers relate to the canonical unit's. Every law is a comparable value.
type law interface {
	scale
	change(d float64) float64 // of a difference
	linear() bool
}

// scale converts single values.
type scale interface {
	canonical(v float64) float64
	fromCanonical(v float64) float64
}

// ratio is canonical = v num/den. Numerator and denominator are kept apart so that powers of ten divide exactly: 20 ppb
// is 0.02 mg/L to the last bit.
type ratio struct{ num, den float64 }

func (r ratio) canonical(v float64) float64 {
	switch {
	case r.num == 1:
		return v / r.den
	case r.den == 1:
		return v * r.num
	}
	return v * (r.num / r.den)
}

func (r ratio) fromCanonical(v float64) float64 { return ratio{r.den, r.num}.canonical(v) }
func (r ratio) change(d float64) float64        { return r.canonical(d) }
func (r ratio) linear() bool                    { return true }

// reduced puts a ratio of powers of ten in lowest terms, so that it too divides exactly.
func (r ratio) reduced() ratio {
	if r.num >= r.den {
		return ratio{r.num / r.den, 1}
	}
	return ratio{1, r.den / r.num}
}

// shifted is canonical = (v - zero) num/den; changes follow the ratio alone.
type shifted struct {
	zero float64
	ratio
}

func (s shifted) canonical(v float64) float64     { return (v - s.zero) * s.num / s.den }
func (s shifted) fromCanonical(v float64) float64 { return v*s.den/s.num + s.zero }

// curve is a scale of salinity that is not linear; its changes are taken at salinity 35.
type curve struct{ scale }

func (c curve) change(d float64) float64 { return d / (c.fromCanonical(35.5) - c.fromCanonical(34.5)) }
func (c curve) linear() bool             { return false }

// specificGravity is salinity by EOS-80 from a specific gravity between two ITS-90 temperatures.
type specificGravity struct{ sample, reference float64 }

func (g specificGravity) canonical(v float64) float64 {
	return SalinityFromSpecificGravity(v, g.sample, g.reference)
}

func (g specificGravity) fromCanonical(v float64) float64 {
	return SpecificGravity(v, g.sample, g.reference)
}

// conductivity is salinity by PSS-78 from a conductivity at an ITS-90 temperature; perMilliSiemens is the number of the
// unit in one mS/cm.
type conductivity struct{ temperature, perMilliSiemens float64 }

func (c conductivity) canonical(v float64) float64 {
	return SalinityFromConductivity(v/c.perMilliSiemens, c.temperature)
}

func (c conductivity) fromCanonical(v float64) float64 {
	return c.perMilliSiemens * ConductivityFromSalinity(v, c.temperature)
}

// saltPerLitre is salinity from grams of salt per litre at an ITS-90 temperature.
type saltPerLitre struct{ temperature float64 }

func (g saltPerLitre) canonical(v float64) float64 {
	return SalinityFromGramsPerLitre(v, g.temperature)
}
func (g saltPerLitre) fromCanonical(v float64) float64 { return GramsPerLitre(v, g.temperature) }

// refractive is salinity by Quan & Fry from a refractive index for sodium light at a temperature.
type refractive struct{ temperature float64 }

func (r refractive) canonical(v float64) float64 {
	s := SalinityFromRefractiveIndex(v, r.temperature, SodiumD)
	if s < 0 || s > maxSalinity {
		return math.NaN()
	}
	return s
}

func (r refractive) fromCanonical(v float64) float64 {
	return RefractiveIndex(v, r.temperature, SodiumD)
}
