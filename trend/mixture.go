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
