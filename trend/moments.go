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
	case a > 38 || b < -38:
		return 0
	case b-a < 1e-3: // the midpoint rule is better than the difference of two nearly equal numbers
		return normalPDF((a+b)/2) * (b - a)
	case a > 0:
		return 0.5 * (math.Erfc(a/math.Sqrt2) - math.Erfc(b/math.Sqrt2))
	default:
		return 0.5 * (math.Erfc(-b/math.Sqrt2) - math.Erfc(-a/math.Sqrt2))
	}
}

// truncatedNormal returns the chance that a normal variable of the given mean and standard deviation lies in [lo, hi],
// and its mean and variance when it is known to. Either end may be infinite.
//
// With a = (lo−mean)/sd, b = (hi−mean)/sd, Z = Φ(b)−Φ(a):
//
//	E = mean + sd·(φ(a)−φ(b))/Z
//	V = sd²·(1 + (aφ(a)−bφ(b))/Z − ((φ(a)−φ(b))/Z)²)
//
// (Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions 1, 1994, section 10.1; from memory.) Where the
// interval is so far out that the differences lose their digits, the asymptotic exponential shape is used.
func truncatedNormal(mean, sd, lo, hi float64) (chance, m, v float64) {
	a, b := (lo-mean)/sd, (hi-mean)/sd
	if a > b {
		return 0, math.NaN(), math.NaN()
	}
	chance = intervalChance(a, b)
	if b-a < 1e-4 {
		mid := (a + b) / 2
		return chance, mean + sd*mid, sq(sd) * sq(b-a) / 12
	}
	if a > 6 || b < -6 {
		m, v = farTail(a, b)
		return chance, mean + sd*m, sq(sd) * v
	}
	d := (density(a) - density(b)) / chance
	t := (timesDensity(a) - timesDensity(b)) / chance
	return chance, mean + sd*d, math.Max(sq(sd)*(1+t-d*d), 0)
}

// farTail is mean and variance of a standard normal variable known to lie in [a, b], six or more standard deviations out:
// there it decays from the nearer end like an exponential of rate |z| with curvature. Simpson's rule over twenty decay
// lengths is exact to about nine digits.
func farTail(a, b float64) (mean, variance float64) {
	near, sign := a, 1.0
	if b < 0 {
		near, sign = -b, -1
		a, b = -b, -a
	}
	length := math.Min(b-a, 40/near)
	const n = 400
	var s0, s1, s2 float64
	for i := 0; i <= n; i++ {
		x := length * float64(i) / n
		w := math.Exp(-near*x - 0.5*x*x)
		switch {
		case i == 0 || i == n:
		case i%2 == 1:
			w *= 4
		default:
			w *= 2
		}
		s0 += w
		s1 += w * x
		s2 += w * x * x
	}
	m := s1 / s0
	return sign * (near + m), s2/s0 - m*m
}

// density and timesDensity are φ(z) and zφ(z), zero at infinity.
func density(z float64) float64 {
	if math.IsInf(z, 0) {
		return 0
	}
	return normalPDF(z)
}

func timesDensity(z float64) float64 {
	if math.IsInf(z, 0) {
		return 0
	}
	return z * normalPDF(z)
}
