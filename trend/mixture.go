package trend

import "math"

// mixture is a weighted sum of normal distributions. The weights need not sum to one.
type mixture []normal

type normal struct{ weight, mean, sd float64 }

func (m mixture) total() (sum float64) {
	for _, c := range m {
		sum += c.weight
	}
	return sum
}

func (m mixture) mean() (sum float64) {
	for _, c := range m {
		sum += c.weight * c.mean
	}
	return sum / m.total()
}

// below is the chance of less than x.
func (m mixture) below(x float64) (sum float64) {
	for _, c := range m {
		sum += c.weight * quickCDF((x-c.mean)/c.sd)
	}
	return sum / m.total()
}

// quantile finds what lies above the given chance: Newton's steps, kept within a bracket by bisection.
func (m mixture) quantile(chance float64) float64 {
	lo, hi, total := math.Inf(1), math.Inf(-1), m.total()
	for _, c := range m {
		lo, hi = min(lo, c.mean-8*c.sd), max(hi, c.mean+8*c.sd)
	}
	enough := (hi - lo) * 1e-9
	x := m.mean()
	for range 60 {
		below, density := 0.0, 0.0
		for _, c := range m {
			z := (x - c.mean) / c.sd
			below += c.weight * quickCDF(z)
			density += c.weight * quickPDF(z) / c.sd
		}
		off := below - chance*total
		if off < 0 {
			lo = x
		} else {
			hi = x
		}
		next := x - off/density
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-x) < enough {
			return next
		}
		x = next
	}
	return x
}

// stillRate is how far stillness stands for slopes about none, in wobbles per day.
const stillRate = 0.02

// slopes is the distribution of the net slope, canonical units per day: a Gaussian for every piece of belief.
func (f *belief) slopes() mixture {
	var all mixture
	f.each(func(_ *memberBelief, p *piece) {
		level := math.Exp(p.c + p.cc/2)
		mean, sd := 0.0, stillRate*f.wobble*level
		switch p.motion {
		case relative:
			mean = p.s * level
			sd = math.Hypot(sd, level*math.Sqrt(max(p.ss+sq(p.s)*p.cc+2*p.s*p.cs, 0)))
		case absolute, driven:
			mean, sd = p.s, math.Hypot(sd, math.Sqrt(p.ss))
		}
		all = append(all, normal{p.weight(), mean * f.anchor, sd * f.anchor})
	})
	return all
}

// heading is the part of some slopes that falls or rises; all of them where neither is said.
func (m mixture) heading(d Direction) mixture {
	if d != Falling && d != Rising {
		return m
	}
	var part mixture
	for _, c := range m {
		if c.mean < 0 && d == Falling || c.mean > 0 && d == Rising {
			part = append(part, c)
		}
	}
	return part
}

// likelier is the direction of more than half of some slopes; Unknown where there is none.
func (m mixture) likelier() Direction {
	for _, d := range [...]Direction{Falling, Rising} {
		if m.heading(d).total() > m.total()/2 {
			return d
		}
	}
	return Unknown
}

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
