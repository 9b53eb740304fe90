package trend

import "math"

// slopeSpread is the distribution of the net slope, canonical units per day: a Gaussian for every hypothesis, as wide as
// the rates for which it stands and the levels at which it might be.
type slopeSpread struct {
	weight, mean, sd []float64
}

// rateWidth is how widely a hypothesis stands for rates about its own, as a fraction; stillRate is the same for stillness,
// in wobbles per day.
const (
	rateWidth = 0.3
	stillRate = 0.02
)

func (f *filter) slopeSpread() slopeSpread {
	n := len(f.hyps)
	s := slopeSpread{make([]float64, n), make([]float64, n), make([]float64, n)}
	for k, h := range f.hyps {
		var mass, sum, sumSq float64
		for b := range f.bank {
			row, at := f.row(b, k)
			for i := at.from; i < at.to; i++ {
				p := row[i]
				mass += p
				sum += p * f.levels[i]
				sumSq += p * sq(f.levels[i])
			}
		}
		s.weight[k] = mass
		if mass == 0 {
			s.sd[k] = 1
			continue
		}
		level := sum / mass * f.anchor
		spread := math.Sqrt(math.Max(sumSq/mass-sq(sum/mass), 0)) * f.anchor
		switch h.motion {
		case still:
			s.sd[k] = stillRate * f.wobble * level
		case relative:
			s.mean[k] = h.rate * level
			s.sd[k] = math.Hypot(rateWidth*h.rate*level, h.rate*spread)
		case absolute:
			s.mean[k] = h.rate * f.anchor
			s.sd[k] = rateWidth * math.Abs(s.mean[k])
		}
	}
	return s
}

// average is the mean slope.
func (s slopeSpread) average() float64 {
	sum := 0.0
	for k, w := range s.weight {
		sum += w * s.mean[k]
	}
	return sum
}

// below is the chance of a slope below x.
func (s slopeSpread) below(x float64) float64 {
	sum := 0.0
	for k, w := range s.weight {
		if w > 1e-9 {
			sum += w * quickCDF((x-s.mean[k])/s.sd[k])
		}
	}
	return sum
}

// quantile finds the slope below which the slope lies with the given chance, by halving.
func (s slopeSpread) quantile(chance float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for k, w := range s.weight {
		if w > 1e-9 {
			lo = math.Min(lo, s.mean[k]-6*s.sd[k])
			hi = math.Max(hi, s.mean[k]+6*s.sd[k])
		}
	}
	for range 30 {
		mid := (lo + hi) / 2
		if s.below(mid) < chance {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
