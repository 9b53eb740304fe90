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
	k.target = math.Max(loguniform(k.rng, 2.2, 9), k.base*1.2)
	days := uniform(k.rng, 7, 45)
	k.until = k.day + days*1.5
	rest := k.rest()
	switch by {
	case byDoses:
		k.until = k.day + 1
		k.natural = motion{rest: rest}
		k.doses(k.target-k.base, 1+k.rng.IntN(5))
	case byDosing:
		before := k.supply
		raise := (k.target - k.base) / days
		k.until = k.day + days
		k.natural = motion{rest: rest}
		k.setSupply(before + raise)
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

// doses gives the amount in equal parts on successive days.
func (k *tank) doses(amount float64, parts int) {
	k.until = k.day + float64(parts)
	for i := range parts {
		day := k.day + float64(i) + 1.0/perDay
		k.inputs = append(k.inputs, trend.Input{Day: day, Kind: trend.Dose, Amount: amount / float64(parts)})
	}
}

// recovered goes back to a steady stretch, or at once to the next decline where the cause was never found.
func (k *tank) recovered() {
	if k.declines() && k.rng.Float64() < 0.25 {
		k.fall()
		return
	}
	if k.supply > 0 && k.rng.Float64() < 0.5 {
		k.setSupply(uniform(k.rng, 0.01, 0.15))
	}
	k.hold(uniform(k.rng, 30, 240))
}

// setSupply changes the standing supply, which the log knows.
func (k *tank) setSupply(perDay float64) {
	k.supply = perDay
	k.inputs = append(k.inputs, trend.Input{Day: k.day, Kind: trend.Dosing, Amount: perDay})
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
		k.inputs = append(k.inputs, trend.Input{Day: k.day, Kind: trend.Dose, Amount: k.weeklyDose})
		k.base += k.weeklyDose / k.ripple()
	}
	if fraction, ok := k.changes.due(k.day); ok {
		k.inputs = append(k.inputs, trend.Input{
			Day: k.day, Kind: trend.Change, Fraction: fraction, New: k.changes.fresh,
		})
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
