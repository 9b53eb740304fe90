package water

import (
	"fmt"
	"math"
)

// The functions of this file refuse impossible input in one wording: what it is, what was given, what it must be.

func mustBePositive(what string, v float64) error    { return must(v > 0, what, v, "be more than 0") }
func mustNotBeNegative(what string, v float64) error { return must(v >= 0, what, v, "not be below 0") }
func mustBeANumber(what string, v float64) error     { return must(!math.IsNaN(v), what, v, "be a number") }

// mustBeAFraction refuses all but 0 < f <= 1. Percent typed as a fraction is the usual slip.
func mustBeAFraction(what string, f float64) error {
	return must(f > 0 && f <= 1, what, f, "be a fraction above 0 and at most 1 (0.2 for 20 %)")
}

func must(is bool, what string, v float64, be string) error {
	if is && !math.IsInf(v, 0) {
		return nil
	}
	return fmt.Errorf("%s is %s: it must %s", what, plain6(v), be)
}

// plain6 is a number that was given, to be recognised.
func plain6(v float64) string {
	switch {
	case math.IsNaN(v):
		return "not a number"
	case math.IsInf(v, 0):
		return "infinite"
	}
	return fmt.Sprintf("%.6g", v)
}

// plain3 is a number that was worked out, to three digits at most and without zeros at its end.
func plain3(v float64) string { return FormatAtMost(v, 3) }
