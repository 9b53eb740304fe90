package trend

import (
	"math"
	"slices"
	"testing"
)

// ewmaChart is an exponentially weighted moving average with its control limits, for a level and a scatter that are
// known: what Drift must say once its level is known from many readings.
type ewmaChart struct {
	z, lo, hi []float64
	outside   []int // numbers of the readings whose average lies outside its limits, counted from 1
}

// ewma weighs readings against a target so that a small lasting move adds up.
//
//	z[i] = lambda·y[i] + (1−lambda)·z[i−1],  z before the first = target
//	limits at i = target ∓ width·sigma·√(lambda/(2−lambda)·(1−(1−lambda)^(2i))),  i counted from 1
//
// Reference: S. W. Roberts, 1959, Control chart tests based on geometric moving averages, Technometrics 1, 239–250;
// NIST/ SEMATECH e-Handbook of Statistical Methods, 6.3.2.4.
func ewma(y []float64, lambda, target, sigma, width float64) ewmaChart {
	var c ewmaChart
	z := target
	for i, v := range y {
		z = lambda*v + (1-lambda)*z
		reach := width * sigma * math.Sqrt(lambda/(2-lambda)*(1-math.Pow(1-lambda, 2*float64(i+1))))
		c.z, c.lo, c.hi = append(c.z, z), append(c.lo, target-reach), append(c.hi, target+reach)
		if math.Abs(z-target) > reach {
			c.outside = append(c.outside, i+1)
		}
	}
	return c
}

// The worked example of the NIST/SEMATECH handbook and made series, in Python and by other formulas in R: 1e-9.
func TestEWMAReference(t *testing.T) {
	for _, c := range ewmaCases(t) {
		t.Run(c.ID, func(t *testing.T) {
			got := ewma(c.Y, c.Lambda, c.Target, c.Sigma, c.Width)
			checkSeries(t, "average", got.z, c.Expected.EWMA)
			for i, l := range c.Expected.Limits {
				check(t, "lower limit", got.lo[i], l[0], 1e-9, 0)
				check(t, "upper limit", got.hi[i], l[1], 1e-9, 0)
			}
			if !slices.Equal(got.outside, c.Expected.Outside) {
				t.Errorf("outside: readings %v, want %v", got.outside, c.Expected.Outside)
			}
		})
	}
}

// Drift charts the readings of the reference as the oracle does, with its own lambda and width; its limits are wider by
// what the level of m settled readings may be off, π/(2m) in variances of a reading.
func TestDriftIsTheChartOfTheReference(t *testing.T) {
	for _, c := range ewmaCases(t) {
		t.Run(c.ID, func(t *testing.T) {
			const settled = 12
			var obs []Observation
			for i := range settled + len(c.Y) {
				v := c.Target
				if i >= settled {
					v = c.Y[i-settled]
				}
				obs = append(obs, Observation{Day: float64(7 * i), Value: v, Lo: v, Hi: v, SD: c.Sigma})
			}
			got, want := Drift(obs, settled), ewma(c.Y, driftWeight, c.Target, c.Sigma, driftWidth)
			checkSeries(t, "average", got.Average, want.z)
			extra := sq(driftWidth*c.Sigma) * math.Pi / (2 * settled)
			for i := range want.hi {
				reach := math.Sqrt(sq(want.hi[i]-c.Target) + extra)
				check(t, "upper limit", got.Hi[i], c.Target+reach, 1e-9, 0)
				check(t, "lower limit", got.Lo[i], c.Target-reach, 1e-9, 0)
			}
		})
	}
}

type ewmaCase struct {
	ID                    string
	Y                     []float64
	Lambda, Sigma, Target float64
	Width                 float64 `json:"L"`
	Expected              struct {
		EWMA    []float64
		Limits  [][2]float64 `json:"limits_at_i"`
		Outside []int        `json:"outside_exact"`
	}
}

func ewmaCases(t *testing.T) []ewmaCase { return reference[ewmaCase](t, "control_charts.json") }

func checkSeries(t *testing.T, what string, got, want []float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d values, want %d", what, len(got), len(want))
	}
	for i := range got {
		check(t, what, got[i], want[i], 1e-9, 0)
	}
}
