package study

import (
	"math"
	"math/rand/v2"

	"leadline/trend"
)

// remedy is what brings a level back.
type remedy int8

const (
	naturally remedy = iota // more food, or nothing that anyone wrote down
	byDoses                 // a few doses, in the log
	byDosing                // a raised standing supply, in the log
)

// act is something that the keeper did and wrote down.
type act struct {
	day    float64
	kind   actKind
	until  float64 // the day on which a remedy ends
	supply float64 // from that day on, per day
	amount float64 // of each dose
	doses  int     // on successive days, the first a grid point later
}

type actKind int8

const (
	dosed      actKind = iota // doses, all begun on the day
	raised                    // the standing supply raised to bring the level up
	rebalanced                // the supply set to what holds the level
)

// watch notices that the floor was crossed, and lets the keeper act some time later.
func (k *tank) watch() {
	switch {
	case math.IsInf(k.fixAt, 1):
		if k.truth() < 1 && k.phase != recovering {
			k.fixAt = k.day + uniform(k.rng, 14, 75)
		}
	case k.day >= k.fixAt:
		k.fixAt = math.Inf(1)
		if k.truth() < 1.2 {
			k.recover(remedy(weighted(k.rng, []float64{0.4, 0.4, 0.2})))
		}
	}
}

// recover brings the level back to a few floors.
func (k *tank) recover(by remedy) {
	k.phase = recovering
	k.target = math.Max(loguniform(k.rng, 2.2, 7), k.base*1.2)
	days := loguniform(k.rng, 14, 90)
	k.until = k.day + days*1.5
	rest := k.rest()
	switch by {
	case byDoses:
		k.until = k.day + 1
		k.natural = motion{rest: rest}
		parts := 1 + k.rng.IntN(7)
		k.doses((k.target-k.base)/float64(parts), parts)
	case byDosing:
		before := k.supply
		raise := (k.target - k.base) / days
		k.until = k.day + days
		k.natural = motion{rest: rest}
		k.setSupply(before + raise)
		k.acts = append(k.acts, act{day: k.day, kind: raised, until: k.until, supply: k.supply})
	default:
		k.natural = motion{shape: steadily, rest: rest, rate: (k.target - k.base) / days}
	}
}

// subside lets a risen level sink part of the way back, staying clear of the floor.
func (k *tank) subside() {
	k.phase = recovering
	goal := math.Max(1.6, k.base*uniform(k.rng, 0.4, 0.9))
	days := loguniform(k.rng, 14, 100)
	k.target, k.until = math.Inf(1), k.day+days*1.5
	k.natural = motion{shape: sinking, rest: k.rest(), rate: 3 / days, goal: goal}
}

// doses gives the amount on each of so many successive days.
func (k *tank) doses(amount float64, parts int) {
	k.until = k.day + float64(parts)
	for i := range parts {
		day := k.day + float64(i) + 1.0/perDay
		k.write(trend.Input{Day: day, Kind: trend.Dose, Amount: amount})
	}
	k.acts = append(k.acts, act{day: k.day, kind: dosed, until: k.until, supply: k.supply, amount: amount, doses: parts})
}

// recovered goes back to a steady stretch, or at once to the next decline where the cause was never found.
func (k *tank) recovered() {
	if k.declines() && k.rng.Float64() < k.relapses {
		k.fall()
		return
	}
	if k.supply > 0 && !k.follows && k.rng.Float64() < 0.5 {
		k.setSupply(uniform(k.rng, 0.01, 0.15))
		k.acts = append(k.acts, act{day: k.day, kind: rebalanced, supply: k.supply})
	}
	k.hold(uniform(k.rng, k.between.from, k.between.to))
}

// setSupply changes the standing supply, which the log knows.
func (k *tank) setSupply(perDay float64) {
	k.supply = perDay
	k.write(trend.Input{Day: k.day, Kind: trend.Dosing, Amount: perDay})
}

// write puts an input into the log.
func (k *tank) write(in trend.Input) {
	if !k.follows {
		k.inputs = append(k.inputs, in)
	}
}

// scheduledInputs gives the doses due at this grid point, the weekly dose and the water changes.
func (k *tank) scheduledInputs() {
	const dt = 1.0 / perDay
	for _, in := range k.inputs {
		if in.Kind == trend.Dose && in.Day > k.day-dt && in.Day <= k.day {
			k.base += in.Amount / k.ripple()
		}
	}
	if k.weeklyDose > 0 && math.Mod(k.day-k.rhythmDay+7, 7) < dt {
		k.write(trend.Input{Day: k.day, Kind: trend.Dose, Amount: k.weeklyDose})
		k.base += k.weeklyDose / k.ripple()
	}
	if fraction, ok := k.changes.due(k.day); ok {
		k.write(trend.Input{Day: k.day, Kind: trend.Change, Fraction: fraction, New: k.changes.fresh})
		k.base = ((1-fraction)*k.truth() + fraction*k.changes.fresh) / k.ripple()
	}
}

// waterHabit is how a keeper changes water: a regular part, and now and then a large one.
type waterHabit struct {
	every, fraction float64 // regular; every 0: none
	next            float64
	large           []float64 // days of large changes
	largeFraction   float64
	fresh           float64 // level of the new water, floors
}

func drawWaterHabit(r *rand.Rand) waterHabit {
	h := waterHabit{fresh: uniform(r, 0, 0.3), largeFraction: uniform(r, 0.25, 0.5)}
	if r.Float64() < 0.6 {
		h.every, h.fraction = pick(r, 7.0, 14, 28), uniform(r, 0.08, 0.25)
		h.next = uniform(r, 0, h.every)
	}
	if h.every == 0 || r.Float64() < 0.3 {
		for day := uniform(r, 20, 150); day < 800; day += uniform(r, 60, 240) {
			h.large = append(h.large, day)
		}
	}
	return h
}

// perDay is what the regular changes take out of a tank at the level given, per day.
func (h *waterHabit) perDay(level float64) float64 {
	if h.every == 0 {
		return 0
	}
	return h.fraction * (level - h.fresh) / h.every
}

// due says whether water is changed at this grid point, and how much.
func (h *waterHabit) due(day float64) (fraction float64, ok bool) {
	if h.every > 0 && day >= h.next {
		h.next += h.every
		return h.fraction, true
	}
	if len(h.large) > 0 && day >= h.large[0] {
		h.large = h.large[1:]
		return h.largeFraction, true
	}
	return 0, false
}
