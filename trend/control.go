package trend

import (
	"fmt"
	"math"
)

// EWMAChart is an exponentially weighted moving average with its control limits.
type EWMAChart struct {
	Z              []float64 // the average after each reading
	Lo, Hi         []float64 // limits at each reading
	FinalLo        float64   // what the limits grow to
	FinalHi        float64
	Outside        []int // indices of the readings whose average lies outside its limits
	OutsideOfFinal []int // the same for the final limits
}

// EWMA weighs readings against a target so that a small lasting move adds up.
//
//	Z[i] = lambda·y[i] + (1−lambda)·Z[i−1],  Z before the first = target
//	limits at i = target ∓ width·sigma·√(lambda/(2−lambda)·(1−(1−lambda)^(2i))),  i counted from 1
//
// y is in order of time and in the unit of target and sigma, the standard deviation of one reading; the time between readings
// plays no part. lambda 0.1 to 0.3 and width 2.7 to 3 are usual: EWMARunLength says how often they call. EWMA panics unless
// 0 < lambda <= 1, sigma > 0, width > 0 and all are finite.
//
// Reference: S. W. Roberts, 1959, Control chart tests based on geometric moving averages, Technometrics 1, 239–250; NIST/
// SEMATECH e-Handbook of Statistical Methods, 6.3.2.4.
func EWMA(y []float64, lambda, target, sigma, width float64) EWMAChart {
	checkPairs("EWMA", y, y)
	if !(lambda > 0 && lambda <= 1 && sigma > 0 && width > 0) || math.IsNaN(target-target) || math.IsInf(sigma*width, 0) {
		panic(fmt.Sprintf("trend: EWMA: lambda %v, target %v, sigma %v, width %v", lambda, target, sigma, width))
	}
	final := width * sigma * math.Sqrt(lambda/(2-lambda))
	c := EWMAChart{FinalLo: target - final, FinalHi: target + final}
	z, left := target, 1.0
	for i, v := range y {
		z = lambda*v + (1-lambda)*z
		left *= (1 - lambda) * (1 - lambda)
		reach := final * math.Sqrt(1-left)
		c.Z, c.Lo, c.Hi = append(c.Z, z), append(c.Lo, target-reach), append(c.Hi, target+reach)
		if z < target-reach || z > target+reach {
			c.Outside = append(c.Outside, i)
		}
		if z < c.FinalLo || z > c.FinalHi {
			c.OutsideOfFinal = append(c.OutsideOfFinal, i)
		}
	}
	return c
}

// CUSUMChart is a two-sided tabular cumulative sum.
type CUSUMChart struct {
	High, Low  []float64 // sums of what lies above, below the target by more than the slack; never below 0
	Cumulative []float64 // plain sum of y − target
	HighSignal []int     // indices at which High, Low is above the decision line
	LowSignal  []int
}

// CUSUM adds up how far readings lie from a target, beyond a slack.
//
//	High[i] = max(0, High[i−1] + y[i] − target − slack),  Low[i] = max(0, Low[i−1] + target − slack − y[i]),  both from 0
//
// It signals above line, and is not set back after a signal. y is in order of time; slack and line are in its unit: half the
// move to be seen, and four to five standard deviations, are usual; CUSUMRunLength says how often that calls. CUSUM panics
// unless slack >= 0, line > 0 and all are finite.
//
// Reference: E. S. Page, 1954, Continuous inspection schemes, Biometrika 41, 100–115; NIST/SEMATECH e-Handbook, 6.3.2.3.
func CUSUM(y []float64, target, slack, line float64) CUSUMChart {
	checkPairs("CUSUM", y, y)
	if !(slack >= 0 && line > 0) || math.IsNaN((target+slack+line)-(target+slack+line)) {
		panic(fmt.Sprintf("trend: CUSUM: target %v, slack %v, line %v", target, slack, line))
	}
	var c CUSUMChart
	var high, low, sum float64
	for i, v := range y {
		high = max(0, high+v-target-slack)
		low = max(0, low+target-slack-v)
		sum += v - target
		c.High, c.Low, c.Cumulative = append(c.High, high), append(c.Low, low), append(c.Cumulative, sum)
		if high > line {
			c.HighSignal = append(c.HighSignal, i)
		}
		if low > line {
			c.LowSignal = append(c.LowSignal, i)
		}
	}
	return c
}

// IndividualsChart is a chart of single readings and of the ranges between neighbours.
type IndividualsChart struct {
	Center       float64   // mean
	MovingRanges []float64 // |y[i+1] − y[i]|
	MeanRange    float64
	Sigma        float64 // standard deviation of a reading from the ranges: MeanRange/d2
	Lo, Hi       float64 // Center ∓ 3·Sigma
	RangeHi      float64 // MeanRange·(1 + 3·d3/d2); the lower limit is 0
	Outside      []int   // indices of the readings outside Lo..Hi
	RangeOutside []int   // indices of the later readings of the ranges above RangeHi
}

// The mean and the standard deviation of the range of two standard normal readings.
var (
	d2 = 2 / math.Sqrt(math.Pi)
	d3 = math.Sqrt(2 - 4/math.Pi)
)

// Individuals sets limits to single readings from how much neighbours differ, so that a slow course does not widen them.
//
//	Sigma = mean |y[i+1] − y[i]| / d2,  d2 = 2/√π,  d3 = √(2 − 4/π)
//
// y is in order of time. Individuals panics unless all are finite. Below 2 readings all numbers are NaN.
//
// Reference: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, which rounds d2 to 1.128.
func Individuals(y []float64) IndividualsChart {
	checkPairs("Individuals", y, y)
	nan := math.NaN()
	if len(y) < 2 {
		return IndividualsChart{Center: nan, MeanRange: nan, Sigma: nan, Lo: nan, Hi: nan, RangeHi: nan}
	}
	c := IndividualsChart{Center: mean(y)}
	for i := 1; i < len(y); i++ {
		c.MovingRanges = append(c.MovingRanges, math.Abs(y[i]-y[i-1]))
	}
	c.MeanRange = mean(c.MovingRanges)
	c.Sigma = c.MeanRange / d2
	c.Lo, c.Hi = c.Center-3*c.Sigma, c.Center+3*c.Sigma
	c.RangeHi = c.MeanRange * (1 + 3*d3/d2)
	for i, v := range y {
		if v < c.Lo || v > c.Hi {
			c.Outside = append(c.Outside, i)
		}
		if i > 0 && c.MovingRanges[i-1] > c.RangeHi {
			c.RangeOutside = append(c.RangeOutside, i)
		}
	}
	return c
}
