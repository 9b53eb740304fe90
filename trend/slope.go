package trend

import "math"

// slopeSpread is the distribution of the net slope, canonical units per day: a Gaussian for every piece of belief.
type slopeSpread struct {
	weight, mean, sd []float64
}

// stillRate is how far stillness stands for slopes about none, in wobbles per day.
const stillRate = 0.02

func (f *belief) slopeSpread() slopeSpread {
	var s slopeSpread
	f.each(func(_ *memberBelief, p *piece) {
		level := math.Exp(p.c + p.cc/2)
		mean, sd := 0.0, stillRate*f.wobble*level
		switch p.motion {
		case relative:
			mean = p.s * level
			sd = math.Hypot(sd, level*math.Sqrt(math.Max(p.ss+sq(p.s)*p.cc+2*p.s*p.cs, 0)))
		case absolute, driven:
			mean, sd = p.s, math.Hypot(sd, math.Sqrt(p.ss))
		}
		s.weight, s.mean, s.sd = append(s.weight, p.weight()), append(s.mean, mean*f.anchor), append(s.sd, sd*f.anchor)
	})
	total := 0.0
	for _, w := range s.weight {
		total += w
	}
	for i := range s.weight {
		s.weight[i] /= total
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
