package water

import (
	"cmp"
	"math"
)

// maxChanges is the most water changes that anybody is told to do.
const maxChanges = 10000

// ChangesForTarget is how many equal water changes of a fraction bring the level to the target or past it, with nothing
// added or consumed between them; ok is false where no number of them does, as for one at or beyond the new water:
//
//	n = ln((target - new)/(before - new)) / ln(1 - f), rounded up
func ChangesForTarget(before, newWater, target, fraction float64) (n int, ok bool) {
	switch {
	case target < min(before, newWater) || target > max(before, newWater):
		return 0, false
	case target == before:
		return 0, true
	case fraction == 1:
		return 1, true
	}
	exact := math.Log((target-newWater)/(before-newWater)) / math.Log1p(-fraction)
	if !(exact <= maxChanges) { // it comes only closer and closer to the new water
		return 0, false
	}
	return int(math.Ceil(exact - 1e-9)), true // an exact 4 must not become 5 by rounding
}

// SteadyBatch is where a level settles, just after each of them, that rises by a constant amount a day (falls, if
// negative) under water changes of a fraction every so many days:
//
//	after = new + p T (1 - f) / f
func SteadyBatch(risePerDay, everyDays, fraction, newWater float64) (float64, error) {
	err := cmp.Or(mustBeANumber("rise per day", risePerDay), mustBePositive("days between changes", everyDays),
		mustBeANumber("level of the new water", newWater), mustBeAFraction("fraction changed", fraction))
	return newWater + risePerDay*everyDays/fraction*(1-fraction), err
}
