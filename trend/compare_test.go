package trend

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// Permeability of human chorioamnion, Hollander & Wolfe, 1973, Nonparametric Statistical Methods, section 4.1: W = 35,
// two-sided p 0.2544; the shift 0.305 and the interval −0.15 to 0.76 at 96 % stand in the same book, section 4.2 and
// 4.3 (all from memory).
func TestCompareHollanderWolfe(t *testing.T) {
	term := weekly(0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46)
	early := weekly(1.15, 0.88, 0.90, 0.74, 1.21)
	c := Compare(early, term, 0.95)
	if c.NBefore != 5 || c.NAfter != 10 || len(c.Notes) != 0 {
		t.Errorf("got %+v", c)
	}
	check(t, "p", c.P, 0.2544, 0, 5e-5)
	check(t, "shift", c.Shift, 0.305, 0, 1e-12)
	check(t, "lo", c.Interval.Lo, -0.15, 0, 1e-12)
	check(t, "hi", c.Interval.Hi, 0.76, 0, 1e-12)
	check(t, "holds", c.Interval.Attained, 0.96, 0, 0.005)
}

// Critical values of U at two-sided 5 % (Mann & Whitney 1947 and every table since): the largest U with P(U <= u) <=
// 0.025.
func TestUTable(t *testing.T) {
	for _, row := range []struct{ m, n, u int }{{4, 4, 0}, {5, 5, 2}, {6, 6, 5}, {8, 8, 13}, {10, 10, 23}, {15, 15, 64},
		{20, 20, 127}, {5, 9, 7}, {3, 5, 0}} {
		sizes := []int{row.m, row.n}
		if inversionTail(sizes, row.u) > 0.025 || inversionTail(sizes, row.u+1) <= 0.025 {
			t.Errorf("%d and %d: P(U<=%d) = %g, P(U<=%d) = %g", row.m, row.n, row.u, inversionTail(sizes, row.u), row.u+1,
				inversionTail(sizes, row.u+1))
		}
	}
}

// By the definition: the median of all differences, and p by going through all ways to choose which readings come
// after.
func TestCompareByEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	for trial := range 60 {
		m, n := 2+r.IntN(4), 2+r.IntN(4)
		y := make([]float64, m+n)
		for i := range y {
			y[i] = float64(1 + r.IntN(1+trial))
		}
		c := Compare(weekly(y[:m]...), weekly(y[m:]...), 0.9)
		var d []float64
		for _, b := range y[:m] {
			for _, a := range y[m:] {
				d = append(d, a-b)
			}
		}
		check(t, "shift", c.Shift, Median(d), 1e-12, 1e-12)
		if slices.Min(y) == slices.Max(y) {
			continue
		}
		check(t, "p", c.P, chosenShare(y, m), 1e-12, 0)
	}
}

// chosenShare is the share of all choices of m readings as the first sample whose U is as far from its mean.
func chosenShare(y []float64, m int) float64 {
	s := func(set int) (count, s int) {
		for i, a := range y {
			if set>>i&1 == 0 {
				count++
				continue
			}
			for j, b := range y {
				if set>>j&1 == 0 {
					s += certain(b, Exact, a, Exact)
				}
			}
		}
		return count, s
	}
	own := 0
	for i := m; i < len(y); i++ {
		own |= 1 << i
	}
	_, observed := s(own)
	all, far := 0.0, 0.0
	for set := range 1 << len(y) {
		if count, v := s(set); count == m {
			all++
			if max(v, -v) >= max(observed, -observed) {
				far++
			}
		}
	}
	return far / all
}

// The intervals hold what they say, with numbers, steps, and limits.
func TestCompareHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	for _, c := range []struct {
		name        string
		step, limit float64
		least       int
	}{{"numbers", 0, -9, 275}, {"steps of half a standard deviation", 0.5, -9, 270},
		{"a third below the limit", 0, 4.8, 275}} {
		held := 0
		for range 300 {
			one := func(n int, level float64) []Observation {
				v := make([]float64, n)
				for i := range v {
					v[i] = level + r.NormFloat64()
					if c.step > 0 {
						v[i] = math.Round(v[i]/c.step) * c.step
					}
					if v[i] < c.limit {
						v[i] = -c.limit
					}
				}
				return weekly(v...)
			}
			if in := Compare(one(12, 5), one(9, 6.5), 0.95).Interval; in.Lo <= 1.5 && 1.5 <= in.Hi {
				held++
			}
		}
		if held < c.least { // 285 expected; three standard errors are 11
			t.Errorf("%s: %d of 300 intervals at 95 %% hold the shift", c.name, held)
		}
	}
}

func TestCompareEdges(t *testing.T) {
	none := Compare(nil, weekly(1, 2), 0.95)
	if !math.IsNaN(none.Shift) || !strings.Contains(noteWith(none.Notes, "too-few"), "0 before and 2 after") {
		t.Errorf("one side empty: %+v", none)
	}
	// The widest interval by ranks of two and two, 1 to 3, holds 1 - 2/6; by tests of standard deviation 1 it is 2 ± 1.96.
	few := Compare(weekly(1, 2), weekly(3, 4), 0.95)
	if few.Shift != 2 || !few.Few || !strings.Contains(noteWith(few.Notes, "few-readings"), "2 before and 2 after") {
		t.Errorf("two and two: %+v", few)
	}
	check(t, "lo of two and two", few.Interval.Lo, 2-1.959964, 0, 1e-6)
	check(t, "hi of two and two", few.Interval.Hi, 2+1.959964, 0, 1e-6)
	// One and one: 1.281552 √2 on either side.
	for _, after := range []float64{5, 1} {
		one := Compare(weekly(1), weekly(after), 0.8)
		check(t, "shift of one and one", one.Shift, after-1, 0, 0)
		check(t, "lo of one and one", one.Interval.Lo, after-1-1.812388, 0, 1e-6)
		if !one.Few {
			t.Errorf("one and one: %+v", one)
		}
	}
	if c := Compare(weekly(1, 2), weekly(3, 4, 5), 0.8); c.Few { // 1 - 2/10
		t.Errorf("two and three are enough for 80 %%: %+v", c)
	}
	equal := Compare(weekly(4, 4, 4), weekly(4, 4), 0.95)
	if equal.Shift != 0 || !math.IsNaN(equal.P) {
		t.Errorf("all equal: %+v", equal)
	}
	gone := Compare(weekly(0.05, 0.06, 0.07, 0.08), weekly(-0.02, -0.02, -0.02), 0.95)
	if !math.IsNaN(gone.Shift) || gone.Interval.Lo != math.Inf(-1) || gone.Interval.Hi > -0.02 || gone.Limits != 3 ||
		noteWith(gone.Notes, "limits") == "" || noteWith(gone.Notes, "few-detected") == "" {
		t.Errorf("all below afterwards: %+v", gone)
	}
	check(t, "p", gone.P, 2.0/35, 1e-12, 0) // the 3 lowest of 7, either way
	mustPanic(t, "trend: Compare", func() { Compare(nil, nil, 1) })
}
