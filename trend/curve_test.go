package trend

import (
	"math"
	"testing"
)

// The tabulated shifts of a constant amount against the formula.
func TestCurvesAreTheFormula(t *testing.T) {
	const width, amount = 0.075, 12.3 // the level at column 12.3 is what is moved in all
	c := newCurves(width)
	s := span{3, 90}
	fall, rise := make([]float64, 100), make([]float64, 100)
	c.fall.over(s, amount, fall)
	c.rise.over(s, amount, rise)
	far := make([]float64, 100)
	c.rise.over(s, amount+80, far) // levels far under the amount
	for i := s.from; i < s.to; i++ {
		x := math.Exp((amount - float64(i)) * width)
		if want := math.Log(math.Max(1-x, leastLeft)) / width; math.Abs(fall[i]-want) > 0.05 && math.Abs(x-1) > 0.1 {
			t.Errorf("fall at %d: %v cells, want %v", i, fall[i], want)
		}
		if want := math.Log1p(x) / width; math.Abs(rise[i]-want) > 0.05 {
			t.Errorf("rise at %d: %v cells, want %v", i, rise[i], want)
		}
		if want := math.Log1p(x*math.Exp(80*width)) / width; math.Abs(far[i]-want) > 0.3 {
			t.Errorf("rise at %d, far down: %v cells, want %v", i, far[i], want)
		}
	}
}
