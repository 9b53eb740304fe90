package trend

import "math"

// normalCDF is the standard normal distribution function.
func normalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// normalPDF is the standard normal density.
func normalPDF(z float64) float64 { return math.Exp(-0.5*z*z) / math.Sqrt(2*math.Pi) }

// intervalChance is the chance that a standard normal variable lies between a and b, a <= b; either may be infinite. It
// is taken on the side where both tails are small, so that far out it keeps its relative precision.
func intervalChance(a, b float64) float64 {
	switch {
	case a > 12 || b < -12:
		return 0 // under 1e-32
	case a < -7 && b > 7:
		return 1
	case b-a < 1e-3: // the midpoint rule is better than the difference of two nearly equal numbers
		return normalPDF((a+b)/2) * (b - a)
	case a > 0:
		return 0.5 * (math.Erfc(a/math.Sqrt2) - math.Erfc(b/math.Sqrt2))
	default:
		return 0.5 * (math.Erfc(-b/math.Sqrt2) - math.Erfc(-a/math.Sqrt2))
	}
}
