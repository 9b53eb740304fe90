package water

import (
	"cmp"
	"fmt"
	"math"
)

// WaterChanges is the level after a series of equal water changes with nothing added or consumed between them:
//
//	after = new + (before - new)(1 - f)^n
func WaterChanges(before, newWater, fraction float64, times int) (float64, error) {
	if err := checkChange(before, newWater, fraction); err != nil {
		return 0, err
	}
	if times < 0 {
		return 0, fmt.Errorf("number of water changes is %d: it must not be below 0", times)
	}
	return newWater + (before-newWater)*math.Pow(1-fraction, float64(times)), nil
}

// WaterChangeContinuous is the level after old water was drained while new water flowed in, the tank well mixed.
// Exchanged is the volume of new water as a multiple of the tank's; it may exceed 1. It is always weaker than one
// change of the same volume.
//
//	after = new + (before - new) exp(-exchanged)
func WaterChangeContinuous(before, newWater, exchanged float64) (float64, error) {
	if err := cmp.Or(mustBeANumber("level before", before), mustBeANumber("level of the new water", newWater),
		mustNotBeNegative("volume exchanged over volume", exchanged)); err != nil {
		return 0, err
	}
	return newWater + (before-newWater)*math.Exp(-exchanged), nil
}

// ChangeCount answers how many equal water changes reach a target.
type ChangeCount struct {
	Exact float64 // the real number that solves the equation
	Whole int     // it rounded up: so many have to be done
	After float64 // the level after those
}

// maxChanges is the most water changes that anybody is told to do.
const maxChanges = 10000

// ChangesForTarget is how many water changes of a fraction bring the level to the target or past it, with nothing added
// or consumed between them:
//
//	n = ln((target - new)/(before - new)) / ln(1 - f), rounded up
//
// A target at or beyond the new water is never reached and refused.
func ChangesForTarget(before, newWater, target, fraction float64) (ChangeCount, error) {
	if err := cmp.Or(checkChange(before, newWater, fraction), mustBeANumber("target", target)); err != nil {
		return ChangeCount{}, err
	}
	switch {
	case target < min(before, newWater) || target > max(before, newWater):
		return ChangeCount{}, fmt.Errorf("target %s cannot be reached: it does not lie between the level %s and the new "+
			"water at %s", plain6(target), plain6(before), plain6(newWater))
	case target == before:
		return ChangeCount{After: before}, nil
	case fraction == 1:
		return ChangeCount{Exact: 1, Whole: 1, After: newWater}, nil
	case target == newWater:
		return ChangeCount{}, fmt.Errorf("target %s is the level of the new water itself: changes only come closer and "+
			"closer to it", plain6(target))
	}
	exact := math.Log((target-newWater)/(before-newWater)) / math.Log1p(-fraction)
	if exact > maxChanges {
		return ChangeCount{}, fmt.Errorf("it would take %.0f water changes", exact)
	}
	whole := int(math.Ceil(exact - 1e-9)) // an exact 4 must not become 5 by rounding
	after, err := WaterChanges(before, newWater, fraction, whole)
	return ChangeCount{Exact: exact, Whole: whole, After: after}, err
}

// Swing is the two levels between which regular water changes hold a tank.
type Swing struct{ JustBefore, JustAfter float64 }

// SteadyBatch is where a level settles that rises by a constant amount a day (falls, if negative) under water changes
// of a fraction every so many days:
//
//	before = new + p T / f,  after = new + p T (1 - f) / f
func SteadyBatch(risePerDay, everyDays, fraction, newWater float64) (Swing, error) {
	if err := cmp.Or(mustBeANumber("rise per day", risePerDay), mustBePositive("days between changes", everyDays),
		checkChange(0, newWater, fraction)); err != nil {
		return Swing{}, err
	}
	gain := risePerDay * everyDays / fraction
	return Swing{JustBefore: newWater + gain, JustAfter: newWater + gain*(1-fraction)}, nil
}

// ChangesForTargetWhile is ChangesForTarget while the level moves by a constant amount a day between regular changes,
// the level being that just after each of them. It refuses a target at or beyond the level where they settle.
func ChangesForTargetWhile(before, newWater, target, fraction, risePerDay, everyDays float64) (ChangeCount, error) {
	settled, err := SteadyBatch(risePerDay, everyDays, fraction, newWater)
	if err := cmp.Or(err, mustBeANumber("level before", before), mustBeANumber("target", target)); err != nil {
		return ChangeCount{}, err
	}
	count, err := ChangesForTarget(before, settled.JustAfter, target, fraction)
	if err != nil {
		return ChangeCount{}, fmt.Errorf("target %s cannot be reached from %s: regular changes settle at %s just after each",
			plain3(target), plain3(before), plain3(settled.JustAfter))
	}
	return count, nil
}

func checkChange(before, newWater, fraction float64) error {
	return cmp.Or(mustBeANumber("level before", before), mustBeANumber("level of the new water", newWater),
		mustBeAFraction("fraction changed", fraction))
}
