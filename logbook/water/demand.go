package water

import (
	"cmp"
	"fmt"
	"math"
)

// Demand is what a tank consumed per day between two readings, from the readings and everything that dosing and doses
// added between them:
//
//	demand = (first + added - last) / days
//
// It is negative where the level rose by more than was added.
func Demand(first, last, added, days float64) (float64, error) {
	if err := cmp.Or(mustBeANumber("first reading", first), mustBeANumber("last reading", last), mustBeANumber("amount added", added), mustBePositive("time between the readings in days", days)); err != nil {
		return 0, err
	}
	return (first + added - last) / days, nil
}

// MidChange is one water change between two readings.
type MidChange struct {
	Day                     float64 // after the first reading
	Fraction                float64 // of the volume, 0 to 1
	NewWater                float64 // its level
	AddedBefore, AddedAfter float64 // rises from dosing before and after the change
}

// DemandAcrossChange is Demand with one water change between the readings, demand being the same before and after it:
//
//	demand = [(first + added before)(1 - f) + new f + added after - last] / [t (1 - f) + (days - t)]
func DemandAcrossChange(first, last, days float64, c MidChange) (float64, error) {
	if err := cmp.Or(
		mustBeANumber("first reading", first), mustBeANumber("last reading", last),
		mustBePositive("time between the readings in days", days),
		mustBeAFraction("fraction changed", c.Fraction), mustBeANumber("level of the new water", c.NewWater),
		mustBeANumber("amount added", c.AddedBefore+c.AddedAfter), mustNotBeNegative("day of the water change", c.Day),
	); err != nil {
		return 0, err
	}
	if c.Day > days {
		return 0, fmt.Errorf("day %s of the water change is after the last reading on day %s", plain6(c.Day), plain6(days))
	}
	keep := 1 - c.Fraction
	seen := c.Day*keep + days - c.Day
	if seen <= 0 {
		return 0, fmt.Errorf("all the water was changed at the last reading: nothing is left that tells what was consumed")
	}
	return ((first+c.AddedBefore)*keep + c.NewWater*c.Fraction + c.AddedAfter - last) / seen, nil
}

// DemandStandardError is the standard error of a demand found from n equally spaced readings over so many days, each with
// the same standard deviation, by the difference of two or the straight line through more:
//
//	sd / sqrt(Sxx),  Sxx = days² n(n+1) / (12(n-1)),  which is sd √2 / days for n = 2
func DemandStandardError(readingSD, days float64, n int) (float64, error) {
	if err := cmp.Or(mustNotBeNegative("standard deviation of a reading", readingSD), mustBePositive("time between the readings in days", days)); err != nil {
		return 0, err
	}
	if n < 2 {
		return 0, fmt.Errorf("%d readings tell no demand: at least 2 are needed", n)
	}
	k := float64(n)
	return readingSD / days * math.Sqrt(12*(k-1)/(k*(k+1))), nil
}
