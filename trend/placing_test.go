package trend

import (
	"math/rand/v2"
	"testing"
)

// Every order is walked through and counted.
func TestExactByEnumeration(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for trial := range 120 {
		n := 2 + r.IntN(6)
		at, y := make([]float64, n), make([]float64, n)
		for i := range n {
			at[i], y[i] = float64(i), float64(r.IntN(1+r.IntN(6)))
			if trial%3 == 0 {
				at[i] = float64(r.IntN(n))
			}
		}
		bound := someBounds(n, float64(trial%4)*0.25, r)
		if bound == nil {
			k := MannKendall(at, y)
			checkEnumerated(t, k.S, k.VarS, k.PExact, at, y, make([]Bound, n))
			bound = make([]Bound, n)
		}
		c := AkritasTheilSen(at, y, bound)
		checkEnumerated(t, c.S, c.VarS, c.PExact, at, y, bound)
	}
}

func checkEnumerated(t *testing.T, s int64, variance, p float64, at, y []float64, bound []Bound) {
	t.Helper()
	order := make([]int, len(at))
	for i := range order {
		order[i] = i
	}
	observed := slowS(at, y, bound, order)
	if int64(observed) != s {
		t.Errorf("S = %d, want %d; %v %v %v", s, observed, at, y, bound)
	}
	var all, far, squares float64
	permute(order, 0, func() {
		v := slowS(at, y, bound, order)
		all++
		squares += float64(v * v)
		if max(v, -v) >= max(observed, -observed) {
			far++
		}
	})
	check(t, "variance", variance, squares/all, 1e-12, 1e-12)
	if squares > 0 {
		check(t, "p", p, far/all, 1e-12, 0)
	}
}

func permute(v []int, k int, visit func()) {
	if k == len(v) {
		visit()
		return
	}
	for i := k; i < len(v); i++ {
		v[k], v[i] = v[i], v[k]
		permute(v, k+1, visit)
		v[k], v[i] = v[i], v[k]
	}
}

// slowS is S by its definition, reading order[i] taken at time i.
func slowS(at, y []float64, bound []Bound, order []int) int {
	s := 0
	for i := range at {
		for j := range at {
			if at[i] < at[j] {
				s += certain(y[order[i]], bound[order[i]], y[order[j]], bound[order[j]])
			}
		}
	}
	return s
}

// certain is +1 where the first is certainly the smaller, −1 where it is certainly the larger.
func certain(a float64, ab Bound, b float64, bb Bound) int {
	smaller := func(a float64, ab Bound, b float64, bb Bound) bool {
		switch {
		case ab == Above || bb == Below:
			return false
		case ab == Exact && bb == Exact:
			return a < b
		default:
			return a <= b
		}
	}
	switch {
	case smaller(a, ab, b, bb):
		return 1
	case smaller(b, bb, a, ab):
		return -1
	default:
		return 0
	}
}
