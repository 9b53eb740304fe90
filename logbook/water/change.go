package water

import (
	"cmp"
	"fmt"
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

// SaltWaterToRaise is the litres of tank water to replace by saltier water of salinity newWater, so that a tank of net
// volume litres and salinity s comes to the target: V (target - s) / (newWater - s).
func SaltWaterToRaise(s, litres, target, newWater float64) (float64, error) {
	if err := cmp.Or(mustNotBeNegative("salinity", s), mustBePositive("net volume in L", litres),
		mustBeANumber("target", target), mustBeANumber("salinity of the new water", newWater)); err != nil {
		return 0, err
	}
	if target < s {
		return 0, fmt.Errorf("target %s is below the salinity %s: salt water does not lower it", plain6(target), plain6(s))
	}
	if target == s {
		return 0, nil
	}
	if target > newWater {
		return 0, fmt.Errorf("target %s cannot be reached with water of salinity %s", plain6(target), plain6(newWater))
	}
	return litres * (target - s) / (newWater - s), nil
}

// FreshWaterToLower is the litres of tank water to replace by fresh water, so that salinity comes down to the target:
// V (s - target) / s.
func FreshWaterToLower(s, litres, target float64) (float64, error) {
	if err := cmp.Or(mustBePositive("salinity", s), mustBePositive("net volume in L", litres),
		mustNotBeNegative("target", target)); err != nil {
		return 0, err
	}
	if target > s {
		return 0, fmt.Errorf("target %s is above the salinity %s: fresh water does not raise it", plain6(target), plain6(s))
	}
	return litres * (s - target) / s, nil
}

// TopOff is the litres of fresh water missing from a tank whose full net volume is litres, told by salinity having
// risen from full to s. Salt stays when water evaporates, so s (V - missing) = full V.
func TopOff(s, full, litres float64) (float64, error) {
	if err := cmp.Or(mustBePositive("salinity", s), mustBePositive("salinity when full", full),
		mustBePositive("net volume in L", litres)); err != nil {
		return 0, err
	}
	if s < full {
		return 0, fmt.Errorf("salinity %s is below %s: that is not evaporation", plain6(s), plain6(full))
	}
	return litres * (1 - full/s), nil
}
