package alerts

import (
	"math"
	"testing"

	"leadline/trend"
)

// More dosing lifts what corals build with by just so much more; a water change takes its part of it along.
func TestMoreDosingLiftsByArithmetic(t *testing.T) {
	points := []trend.ForecastPoint{{Days: 7, Mean: 7, Lo: 6.5, Hi: 7.5}, {Days: 14, Mean: 6, Lo: 5, Hi: 7}}
	change := trend.Input{Day: 110, Kind: trend.Change, Fraction: 0.25, New: 8}
	got := lifted(points, 0.3, 100, []trend.Input{change})
	// 0.3 × 7 = 2.1; and (0.3 × 10) × 0.75 + 0.3 × 4 = 3.45 (computed).
	for i, want := range []float64{2.1, 3.45} {
		for _, d := range []float64{got[i].Mean - points[i].Mean, got[i].Lo - points[i].Lo, got[i].Hi - points[i].Hi} {
			if math.Abs(d-want) > 1e-12 {
				t.Errorf("in %v days lifted by %v, want %v", points[i].Days, d, want)
			}
		}
	}
}

// Only a raise of the dosing is taken out; less dosing, doses and water changes are the engine's.
func TestOnlyARaiseIsLifted(t *testing.T) {
	extra := []trend.Input{{Kind: trend.Dosing, Amount: 1.2}, {Kind: trend.Dose, Amount: 3}}
	if rest, more := withoutRaise(extra, 0.9); len(rest) != 1 || math.Abs(more-0.3) > 1e-12 {
		t.Errorf("%v left, %v more", rest, more)
	}
	if rest, more := withoutRaise(extra, 1.5); len(rest) != 2 || more != 0 {
		t.Errorf("%v left, %v more", rest, more)
	}
}
