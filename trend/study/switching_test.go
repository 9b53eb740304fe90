package study

import (
	"math"
	"math/rand/v2"

	"leadline/trend"
)

// A switching filter that shares nothing with the engine: a crowd of guesses that stand, fall by the same amount or
// by the same share a day, or rise, and change between these by chance. It is told how kits round and scatter, not
// how tanks are made; its constants are round numbers.

const (
	crowdSize     = 2000
	longestStride = 3.5 // days
)

// course is what a guess is doing.
type course int8

const (
	standing course = iota
	fallingByAmount
	fallingByShare
	risingByAmount
)

// follower is one guess. Levels are in floors, times in days.
type follower struct {
	rng          *rand.Rand
	day, base    float64
	doing        course
	rate, goal   float64 // a day, until the goal
	push         float64 // a day: what a change of dosing brings
	wobble, size float64 // of the logarithm: now, and its standard deviation
	length       float64 // in which the wobble dies away
	restless     float64 // changes of course a day
	scatter      float64 // of the kit, as a factor on what is described
}

// switching runs the filter over a series.
func switching(s *Series) []said {
	rng := rand.New(rand.NewPCG(7, uint64(s.Number)))
	crowd, spare := make([]follower, crowdSize), make([]follower, crowdSize)
	for i := range crowd {
		crowd[i] = newFollower(rng, s)
	}
	weights := make([]float64, crowdSize)
	var out []said
	next, supply := 0, 0.0
	for j, o := range s.Obs {
		for ; next < len(s.Inputs) && s.Inputs[next].Day <= o.Day; next++ {
			in := s.Inputs[next]
			if j == 0 || isHabit(s.Inputs[:next+1]) {
				if in.Kind == trend.Dosing {
					supply = in.Amount
				}
				continue
			}
			for i := range crowd {
				crowd[i].goOn(in.Day)
				crowd[i].take(in, supply, s.Floor)
			}
			if in.Kind == trend.Dosing {
				supply = in.Amount
			}
		}
		for i := range crowd {
			crowd[i].goOn(o.Day)
			weights[i] = crowd[i].likelihood(o, s.Floor)
		}
		multiply(rng, crowd, spare, weights)
		crowd, spare = spare, crowd
		out = append(out, lookAhead(crowd, longestStride))
	}
	return out
}

// newFollower draws a guess about the first reading.
func newFollower(rng *rand.Rand, s *Series) follower {
	o := s.Obs[0]
	conc := uniform(rng, math.Max(o.Lo, 0), math.Min(o.Hi, 3*math.Max(o.Lo, o.Value))) + o.SD*rng.NormFloat64()
	f := follower{rng: rng, day: o.Day}
	f.suppose()
	f.wobble = f.size * rng.NormFloat64()
	f.base = math.Max(conc/s.Floor, 0.05) * math.Exp(-f.wobble)
	return f
}

// suppose draws what does not change with time.
func (f *follower) suppose() {
	f.size, f.length = loguniform(f.rng, 0.03, 0.2), loguniform(f.rng, 2, 25)
	f.restless = loguniform(f.rng, 1.0/500, 1.0/60)
	f.scatter = math.Exp(0.4 * f.rng.NormFloat64())
}

func (f *follower) truth() float64 { return f.base * math.Exp(f.wobble) }
func (f *follower) today() float64 { return f.day }

func (f *follower) jitter(rng *rand.Rand) {
	f.base *= math.Max(1+0.015*rng.NormFloat64(), 0.5)
	f.rate *= math.Max(1+0.05*rng.NormFloat64(), 0.5)
	if rng.Float64() < 0.05 {
		f.suppose()
	}
}

// goOn moves the guess on to a day, in steps of at most a few days with at most one change of course each.
func (f *follower) goOn(day float64) {
	for f.day < day {
		dt := math.Min(day-f.day, longestStride)
		f.day += dt
		f.turn(dt)
		switch f.doing {
		case fallingByAmount:
			f.base -= math.Min(f.rate*dt, math.Max(f.base-f.goal, 0))
		case fallingByShare:
			f.base -= (1 - math.Exp(-f.rate*dt)) * math.Max(f.base-f.goal, 0)
		case risingByAmount:
			f.base += f.rate * dt
		}
		f.base = math.Max(f.base+f.push*dt, 0.02)
		fade := math.Exp(-dt / f.length)
		f.wobble = fade*f.wobble + f.size*math.Sqrt(1-fade*fade)*f.rng.NormFloat64()
	}
}

// turn lets chance change the course within dt days.
func (f *follower) turn(dt float64) {
	if f.push != 0 && f.rng.Float64() < dt/45 {
		f.push = 0
	}
	low := f.base < 1.1 // somebody sees to it
	u := f.rng.Float64() / dt
	switch {
	case low && f.doing != risingByAmount && u < 1.0/50, f.doing == standing && u < 0.4*f.restless:
		f.doing, f.rate = risingByAmount, (0.5+f.base)*uniform(f.rng, 0.3, 2)/loguniform(f.rng, 10, 60)
	case f.doing == standing && u < 1.4*f.restless:
		f.fall()
	case f.doing == risingByAmount && u < 1.0/40, f.doing != standing && u < 1.0/120:
		f.doing = standing
	}
}

// fall draws a fall: within 5 to 110 days to the floor, or, one in six, to some level above it.
func (f *follower) fall() {
	days := loguniform(f.rng, 5, 110)
	f.goal = uniform(f.rng, 0.05, 0.7)
	if f.rng.Float64() < 1.0/6 {
		f.goal = f.base * uniform(f.rng, 0.2, 0.8)
	}
	f.doing, f.rate = fallingByAmount, math.Max(f.base-1, 0.3)/days
	if f.rng.Float64() < 0.5 {
		f.doing, f.rate = fallingByShare, math.Log(math.Max(f.base-f.goal, 1.2)/0.6)/days
	}
}

// take puts in what the log knows. Half of all changes of dosing go against a change of uptake, and bring nothing.
func (f *follower) take(in trend.Input, supply, floor float64) {
	level := f.truth()
	after := level
	switch in.Kind {
	case trend.Dose:
		after = level + in.Amount/floor
	case trend.Change:
		after = (1-in.Fraction)*level + in.Fraction*in.New/floor
	case trend.Dosing:
		if f.rng.Float64() < 0.5 {
			f.push += (in.Amount - supply) / floor
			f.doing = standing
		}
	}
	f.base *= after / level
}

// isHabit says whether the last input is the third of its kind at even times: such inputs are part of what keeps a
// tank as it is.
func isHabit(in []trend.Input) bool {
	last := len(in) - 1
	var days []float64
	for i := last; i >= 0 && len(days) < 3; i-- {
		if in[i].Kind == in[last].Kind && in[i].Kind != trend.Dosing {
			days = append(days, in[i].Day)
		}
	}
	if len(days) < 3 {
		return false
	}
	a, b := days[0]-days[1], days[1]-days[2]
	return a > 3 && a < 35 && math.Abs(a-b) < 0.4*b
}

// likelihood is the chance of a report, if the guess is right; two in a hundred are blunders.
func (f *follower) likelihood(o trend.Observation, floor float64) float64 {
	conc := f.truth() * floor
	sd := o.SD
	switch {
	case conc < o.Value && o.SDBelow > 0:
		sd = o.SDBelow
	case conc >= o.Value && o.SDAbove > 0:
		sd = o.SDAbove
	}
	sd *= f.scatter
	const blunders = 0.02
	wide := math.Min(1, math.Max(0.01, (math.Min(o.Hi, 4*conc)-math.Max(o.Lo, 0))/(4*conc)))
	return (1-blunders)*(normalBelow((o.Hi-conc)/sd)-normalBelow((o.Lo-conc)/sd)) + blunders*wide + 1e-12
}
