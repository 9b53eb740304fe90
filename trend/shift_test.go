package trend

import (
	"math"
	"testing"
)

// Permeability of the human chorioamnion at term and earlier: Hollander & Wolfe (1973), table 4.1, as it stands in the
// example of the function wilcox.test in the manual of R, whose output gives W = 35 and a one-sided p of 0.1272. The
// shift and its 95 % interval are from memory.
var (
	term    = []float64{0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46}
	earlier = []float64{1.15, 0.88, 0.90, 0.74, 1.21}
)

func TestRankSumTail(t *testing.T) {
	for _, c := range []struct {
		n, m, u int
		want    float64
	}{
		{10, 5, 15, 0.1272}, // the chance of 35 or more is, by symmetry, that of 50 − 35 or less
		{3, 3, 0, 1.0 / 20}, // one of the 6!/(3! 3!) orders
		{3, 3, 1, 2.0 / 20},
		{2, 2, 1, 2.0 / 6},
		{4, 3, 12, 1},
	} {
		if got := rankSumTail(c.n, c.m, c.u); math.Abs(got-c.want) > 5e-5 {
			t.Errorf("rankSumTail(%d, %d, %d) = %.5f, want %.5f", c.n, c.m, c.u, got, c.want)
		}
	}
	// The normal law agrees with counting near the size where one takes over.
	exact := rankSumTail(30, 30, 350)
	mean, sd := 450.0, math.Sqrt(900*61/12.0)
	if normal := 0.5 * math.Erfc(-(350.5-mean)/sd/math.Sqrt2); math.Abs(exact-normal) > 2e-3 {
		t.Errorf("counted %.5f, normal %.5f", exact, normal)
	}
}

func TestShiftBetween(t *testing.T) {
	s := ShiftBetween(earlier, term, 0.95)
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%s = %v, want %v", what, got, want)
		}
	}
	near("shift", s.Shift, 0.305)
	near("lo", s.Lo, -0.15)
	near("hi", s.Hi, 0.76)
	if s.Level < 0.95 || s.Level > 0.98 {
		t.Errorf("level %v", s.Level)
	}
}

// A shift turns with the sides, moves with the values, and grows with their unit.
func TestShiftSymmetries(t *testing.T) {
	s := ShiftBetween(earlier, term, 0.8)
	back := ShiftBetween(term, earlier, 0.8)
	moved := make([]float64, len(term))
	for i, v := range term {
		moved[i] = 3*v + 1
	}
	scaled := make([]float64, len(earlier))
	for i, v := range earlier {
		scaled[i] = 3*v + 1
	}
	m := ShiftBetween(scaled, moved, 0.8)
	for _, c := range [][2]float64{{s.Shift, -back.Shift}, {s.Lo, -back.Hi}, {s.Hi, -back.Lo}, {3 * s.Shift, m.Shift}, {3 * s.Lo, m.Lo}, {3 * s.Hi, m.Hi}} {
		if math.Abs(c[0]-c[1]) > 1e-9 {
			t.Errorf("%v is not %v", c[0], c[1])
		}
	}
}

func TestShiftOfFew(t *testing.T) {
	s := ShiftBetween(nil, []float64{4}, 0.8)
	if !math.IsNaN(s.Shift) || !math.IsNaN(s.Before) || s.After != 4 || s.NBefore != 0 {
		t.Errorf("nothing before: %+v", s)
	}
	s = ShiftBetween([]float64{1}, []float64{4}, 0.8)
	if s.Shift != 3 || !math.IsInf(s.Lo, -1) || !math.IsInf(s.Hi, 1) || !math.IsNaN(s.Level) {
		t.Errorf("one and one: %+v", s)
	}
	s = ShiftBetween([]float64{2, 2, 2, 2}, []float64{2, 2, 2, 2}, 0.8)
	if s.Shift != 0 || s.Lo != 0 || s.Hi != 0 {
		t.Errorf("all equal: %+v", s)
	}
}
