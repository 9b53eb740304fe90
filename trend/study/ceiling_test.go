package study

import (
	"math"
	"math/rand/v2"

	"leadline/trend"
)

// A filter that is told how the tanks were made: what no engine can know. It follows a crowd of guesses, each a whole
// simulated tank, by the simulator's own rules, and weighs them by the kit's real spread at each reading. It shows
// how much can be known.

// guesses is the size of the crowd. With 12,000 the filter's 80 % intervals held 80 % of 60 tanks; with 3,000, 77 %.
const guesses = 12000

// Ceiling is what the told filter says at each reading of a series. It gives no floor dates.
func Ceiling(s *Series, seed uint64) []said {
	rng := rand.New(rand.NewPCG(seed, uint64(s.Number)))
	crowd := make([]tank, guesses)
	for i := range crowd {
		crowd[i] = s.guess(rng)
	}
	var out []said
	weights := make([]float64, guesses)
	spare := make([]tank, guesses)
	step, next := 0, 0 // grid points done, acts taken
	for _, o := range s.Obs {
		for ; float64(step)/perDay <= o.Day; step++ {
			day := float64(step) / perDay
			for next < len(s.acts) && s.acts[next].day < day {
				next++
			}
			for i := range crowd {
				crowd[i].follow(day, s.acts[:min(next+1, len(s.acts))])
			}
		}
		for i := range crowd {
			weights[i] = s.likelihood(rng, o, crowd[i].truth()) + 1e-12
		}
		multiply(rng, crowd, spare, weights)
		crowd, spare = spare, crowd
		out = append(out, lookAhead(crowd, 1.0/perDay))
	}
	return out
}

// guess draws a tank that the log does not contradict: its water changes, weekly dose and first supply are those known.
func (s *Series) guess(rng *rand.Rand) tank {
	weight := kindWeight
	for i, k := range kinds {
		switch {
		case s.Kind == WaterChanged && k != WaterChanged, s.start.weeklyDose > 0 && k != Sawtooth:
			weight[i] = 0
		case s.Kind != WaterChanged && k == WaterChanged:
			weight[i] = 0
		case s.start.weeklyDose == 0 && k == Sawtooth:
			weight[i] *= 0.6
		}
	}
	k := *newTank(rng, kinds[weighted(rng, weight[:])], s.Days)
	k.follows, k.inputs = true, nil
	k.changes, k.supply = s.start.changes, s.start.supply
	if k.weeklyDose = s.start.weeklyDose; k.weeklyDose > 0 {
		k.rhythm, k.rhythmDay = 0, s.start.rhythmDay
	} else if k.kind == Sawtooth {
		k.rhythm = uniform(rng, 0.08, 0.35)
	}
	k.start()
	return k
}

// follow moves a guess on by one grid point, which ends on the day; acts are the log up to the act of that day or the
// next.
func (k *tank) follow(day float64, acts []act) {
	k.drift()
	k.day = day
	k.turn()
	k.scheduledInputs()
	for _, a := range acts[max(0, len(acts)-2):] {
		k.obey(a)
	}
	k.watchUnaided()
}

// obey does what the keeper is known to have done at this grid point.
func (k *tank) obey(a act) {
	since := k.day - a.day
	switch {
	case since == 0 && a.kind == rebalanced:
		k.supply = a.supply
		k.hold(uniform(k.rng, k.between.from, k.between.to))
	case since == 0:
		k.fixAt = math.Inf(1)
		k.natural = motion{rest: k.rest()}
		k.supply = a.supply
		k.phase, k.target, k.until = recovering, math.Inf(1), a.until
	}
	if n := math.Floor(since); since-n == 1.0/perDay && int(n) < a.doses && n >= 0 {
		k.base += a.amount / k.ripple()
	}
}

// watchUnaided lets a guess recover by itself some time after it crossed. Whatever the keeper did would be in the log.
func (k *tank) watchUnaided() {
	if k.base > 2 && math.IsInf(k.fixAt, 1) {
		return
	}
	switch {
	case math.IsInf(k.fixAt, 1):
		if k.phase != recovering && k.truth() < 1 {
			k.fixAt = k.day + uniform(k.rng, 14, 75)
		}
	case k.day >= k.fixAt:
		k.fixAt = math.Inf(1)
		if k.truth() < 1.2 && k.rng.Float64() < 0.6 {
			k.recover(naturally)
		}
	}
}

// likelihood is the chance of the report at a true level in floors.
func (s *Series) likelihood(rng *rand.Rand, o trend.Observation, level float64) float64 {
	if s.Kit == Card && o.Bound == trend.Below {
		o.Hi /= 2 // the card's "<" and first mark is written where half of it is not reached
	}
	chance := func(conc float64) float64 {
		sd := s.kit.spread(conc)
		return normalBelow((o.Hi-conc)/sd) - normalBelow((o.Lo-conc)/sd)
	}
	conc := level * s.Floor
	return (1-grossShare)*chance(conc) + grossShare*chance(blunder(rng, conc, s.Phosphate))
}

// jitter moves a copy a little, so that a crowd does not become one guess.
func (k *tank) jitter(rng *rand.Rand) {
	k.base *= math.Exp(0.008 * rng.NormFloat64())
	k.wobbleSD *= math.Exp(0.02 * rng.NormFloat64())
	k.natural.rate *= math.Exp(0.03 * rng.NormFloat64())
}

// goOn follows a guess into the future: the inputs go on as they are, save the large water changes, which nobody
// foresees.
func (k *tank) goOn(day float64) {
	k.changes.large = nil
	k.follow(day, nil)
}

func (k *tank) today() float64 { return k.day }
