package trend

import (
	"math"
	"testing"
)

// Peak flow by two meters in 17 people: the data of table 1 of Bland and Altman 1986, entered from memory. The paper
// gives a mean difference of −2.1 l/min, a standard deviation of 38.8 and a 95 % interval of the bias from −22.0 to
// 17.8.
func TestComparePairsBlandAltman(t *testing.T) {
	large := []float64{494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427}
	mini := []float64{512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451}
	var d, back []float64
	for i := range large {
		d, back = append(d, large[i]-mini[i]), append(back, mini[i]-large[i])
	}
	p, q := ComparePairs(d, 0, 0.95), ComparePairs(back, 0, 0.95)
	for _, c := range []struct {
		what           string
		got, want, tol float64
	}{
		{"mean", p.Shift, -2.1, 0.05},
		{"lower end", p.Interval.Lo, -22.0, 0.1},
		{"upper end", p.Interval.Hi, 17.8, 0.1},
		{"the other way round", q.Shift, -p.Shift, 1e-12},
		{"its lower end", q.Interval.Lo, -p.Interval.Hi, 1e-12},
	} {
		if !(math.Abs(c.got-c.want) <= c.tol) {
			t.Errorf("%s: %g, want %g", c.what, c.got, c.want)
		}
	}
	if p.N != 17 || p.Few {
		t.Errorf("%+v", p)
	}
}

func TestComparePairsOfFew(t *testing.T) {
	if p := ComparePairs(nil, 1, 0.8); !p.Few || !math.IsNaN(p.Shift) || !math.IsInf(p.Interval.Lo, -1) {
		t.Errorf("none: %+v", p)
	}
	if p := ComparePairs([]float64{2}, 1, 0.8); !p.Few || p.Shift != 2 || !math.IsInf(p.Interval.Hi, 1) {
		t.Errorf("one: %+v", p)
	}
	// All alike in steps of 1: the steps alone scatter by 1/√6, and t of 4 degrees of freedom at 80 % is 1.533 (tables of
	// Student's t).
	p := ComparePairs([]float64{1, 1, 1, 1, 1}, 1/math.Sqrt(6), 0.8)
	if half := 1.533 / math.Sqrt(6) / math.Sqrt(5); p.Few || math.Abs(p.Interval.Hi-1-half) > 1e-3 {
		t.Errorf("all alike: %+v, want half a width of %g", p, half)
	}
}
