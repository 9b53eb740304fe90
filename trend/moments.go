package trend

import "math"

// normalCDF is the standard normal distribution function.
func normalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// normalPDF is the standard normal density.
func normalPDF(z float64) float64 { return math.Exp(-0.5*z*z) / math.Sqrt(2*math.Pi) }

// The engine asks for the normal distribution some thousand times a reading, and a chance to eight digits is enough for
// it. bell holds what normalCDF and normalPDF give at bellSteps points per unit from −bellReach on.
const (
	bellReach = 8
	bellSteps = 32
)

type knot struct{ cdf, rise float64 } // rise: of the cdf from knot to knot at this slope

var bell = tabulateBell()

func tabulateBell() (t [2*bellReach*bellSteps + 1]knot) {
	for i := range t {
		z := float64(i)/bellSteps - bellReach
		t[i] = knot{normalCDF(z), normalPDF(z) / bellSteps}
	}
	return t
}

// quickCDF is normalCDF to within 1e-8, by cubic Hermite interpolation.
func quickCDF(z float64) float64 {
	at := (z + bellReach) * bellSteps
	switch {
	case !(at > 0):
		return 0
	case at >= float64(len(bell)-1):
		return 1
	}
	i := int(at)
	t := at - float64(i)
	a, b := &bell[i], &bell[i+1]
	d := b.cdf - a.cdf
	return a.cdf + t*(a.rise+t*(3*d-2*a.rise-b.rise+t*(a.rise+b.rise-2*d)))
}

// quickPDF is the slope of quickCDF.
func quickPDF(z float64) float64 {
	at := (z + bellReach) * bellSteps
	if !(at > 0) || at >= float64(len(bell)-1) {
		return 0
	}
	i := int(at)
	t := at - float64(i)
	a, b := &bell[i], &bell[i+1]
	d := b.cdf - a.cdf
	return bellSteps * (a.rise + t*(2*(3*d-2*a.rise-b.rise)+3*t*(a.rise+b.rise-2*d)))
}

// intervalChance is the chance that a standard normal variable lies between a and b, a <= b, to within 1e-8; either may
// be infinite.
func intervalChance(a, b float64) float64 {
	if b-a < 0.03 { // the midpoint rule is better than the difference of two nearly equal numbers
		return quickPDF((a+b)/2) * (b - a)
	}
	return quickCDF(b) - quickCDF(a)
}
