package trend

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The series of change_point.json: where the move is, and that a ramp and a wandering level are not taken for one.
func TestFindMoveOnReferenceSeries(t *testing.T) {
	at := map[string][2]int{ // earliest and latest true or published place
		"real_nile": {28, 28}, "clear_step": {22, 22}, "small_step": {24, 25}, "late_step": {36, 37},
		"quantised_step": {20, 20}, "two_steps": {29, 30},
	}
	for _, c := range reference[changeCase](t, "change_point.json") {
		m := FindMove(weekly(c.Y...))
		want, moved := at[c.ID]
		switch {
		case c.ID == "step_with_outliers": // two gross errors in opposite directions: a course fits as well
			if !m.Gradual {
				t.Errorf("%s: %+v", c.ID, m)
			}
		case !moved:
			if m.Found || m.Gradual != (c.ID == "ramp") || !math.IsNaN(m.Day) {
				t.Errorf("%s: %+v", c.ID, m)
			}
		case !m.Found || m.After < want[0] || m.After > want[1]:
			t.Errorf("%s: found %v after %d, want %v", c.ID, m.Found, m.After, want)
		case !(m.DayLo <= 7*float64(want[0]) && m.DayHi >= 7*float64(want[1]+1)):
			t.Errorf("%s: days %g to %g", c.ID, m.DayLo, m.DayHi)
		}
	}
}

// False finds stay near one in twenty, moves of two standard deviations are mostly found, and the intervals hold. The
// bounds are four standard errors of the counts from 5 % and 95 %.
func TestFindMoveHoldsItsLevels(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	const series, n, step = 150, 20, 2.5
	falsely, found, dated, sized := 0, 0, 0, 0
	for range series {
		y := make([]float64, n)
		for i := range y {
			y[i] = 20 + r.NormFloat64()
		}
		if FindMove(weekly(y...)).Found {
			falsely++
		}
		k := 6 + r.IntN(8)
		for i := k; i < n; i++ {
			y[i] += step
		}
		m := FindMove(weekly(y...))
		if !m.Found {
			continue
		}
		found++
		if day := 7 * (float64(k) + 0.5); m.DayLo < day && day < m.DayHi {
			dated++
		}
		obs := weekly(y...)
		if by := Compare(obs[:m.After], obs[m.After:], 0.95).Interval; by.Lo <= step && step <= by.Hi {
			sized++
		}
	}
	if falsely > 18 || found < 100 || dated < found*87/100 || sized < found*87/100 {
		t.Errorf("of %d: falsely %d, found %d, of these dated %d, sized %d", series, falsely, found, dated, sized)
	}
}

func TestFindMoveEdges(t *testing.T) {
	m := FindMove(weekly(1, 2, 3))
	if m.Found || m.Gradual || !math.IsNaN(m.Day) {
		t.Errorf("three readings: %+v", m)
	}
	if m := FindMove(weekly(5, 5, 5, 5, 5, 5, 5, 5, 5)); m.Found || m.Gradual {
		t.Errorf("all equal: %+v", m)
	}
	// Above the limit, then below: the move is plain though its size is open.
	m = FindMove(weekly(0.05, 0.06, 0.05, 0.07, 0.06, 0.05, -0.02, -0.02, -0.02, -0.02, -0.02))
	if !m.Found || m.After != 6 || m.Day != 45.5 {
		t.Errorf("down to below the limit: %+v", m)
	}
	back := weekly(1, 2, 3, 4, 5, 6, 7, 8)
	back[3].Day = 0
	mustPanic(t, "trend: FindMove", func() { FindMove(back) })
}
