package water

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The inverses of PSS-78 and EOS-80 lead back.
func TestSalinityThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.Float64Range(2, 42).Draw(t, "salinity")
		temperature := rapid.Float64Range(-2, 35).Draw(t, "temperature")
		reference := rapid.Float64Range(4, 30).Draw(t, "reference")
		for name, got := range map[string]float64{
			"conductivity":     SalinityFromConductivity(ConductivityFromSalinity(s, temperature), temperature),
			"specific gravity": SalinityFromSpecificGravity(SpecificGravity(s, temperature, reference), temperature, reference),
			"refractive index": SalinityFromRefractiveIndex(RefractiveIndex(s, temperature, SodiumD), temperature, SodiumD),
			"grams per litre":  SalinityFromGramsPerLitre(GramsPerLitre(s, temperature), temperature),
		} {
			if !(math.Abs(got-s) <= 1e-10) {
				t.Fatalf("salinity %v by %s came back as %v", s, name, got)
			}
		}
	})
}

// Saltier water is denser, conducts better and bends light more, everywhere in the valid range.
func TestSalinityScalesRise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(2, 41).Draw(t, "salinity")
		b := a + rapid.Float64Range(0.01, 1).Draw(t, "more")
		temperature := rapid.Float64Range(0, 35).Draw(t, "temperature")
		if Density(b, temperature) <= Density(a, temperature) ||
			ConductivityFromSalinity(b, temperature) <= ConductivityFromSalinity(a, temperature) ||
			RefractiveIndex(b, temperature, SodiumD) <= RefractiveIndex(a, temperature, SodiumD) ||
			GramsPerLitre(b, temperature) <= GramsPerLitre(a, temperature) {
			t.Fatalf("a scale does not rise from %v to %v at %v °C", a, b, temperature)
		}
	})
}

// The sums printed beside the coefficients of PSS-78 (UNESCO 44, p. 7): salinity 35 at ratio 1, whatever the
// temperature.
func TestSelfTestOfPSS78(t *testing.T) {
	for _, temperature := range []float64{-2, 0, 15, 25, 35} {
		if got := salinityFromRt(1, temperature); math.Abs(got-35) > 1e-10 {
			t.Errorf("ratio 1 at %v °C is salinity %v, want 35", temperature, got)
		}
	}
}

func TestSalinityOutsideItsScales(t *testing.T) {
	for name, got := range map[string]float64{
		"no conductivity":       SalinityFromConductivity(0, 25),
		"negative":              SalinityFromConductivity(-1, 25),
		"negative salinity":     ConductivityFromSalinity(-1, 25),
		"brine":                 ConductivityFromSalinity(200, 25),
		"no number":             SalinityFromSpecificGravity(math.NaN(), 25, 25),
		"brine gravity":         SalinityFromSpecificGravity(1.2, 25, 25),
		"lighter than water":    SalinityFromSpecificGravity(0.99, 25, 25),
		"too much salt":         SalinityFromGramsPerLitre(300, 25),
		"negative salt":         SalinityFromGramsPerLitre(-1, 25),
		"density of a negative": Density(-1, 25),
	} {
		if !math.IsNaN(got) {
			t.Errorf("%s: %v, want NaN", name, got)
		}
	}
}
