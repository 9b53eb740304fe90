package trend

import "math"

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
