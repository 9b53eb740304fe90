package study

import (
	"math"
	"math/rand/v2"
	"testing"

	"leadline/trend"
)

func TestReports(t *testing.T) {
	inf := math.Inf(1)
	fine := kit{class: Fine, step: 0.1, sd: 0.1, limit: 0.3, top: 50, told: 1}
	noLimit := kit{class: Coarse, step: 0.5, sd: 0.2, top: 100, told: 1}
	card := kit{class: Card, marks: []float64{0, 2, 5, 10}, sdSteps: 0.5, told: 1}
	written := card
	written.limit = 1
	half := card
	half.halves = true
	for _, c := range []struct {
		name   string
		k      kit
		y      float64
		value  float64
		lo, hi float64
		bound  trend.Bound
		sd     float64
	}{
		{"nearest step", fine, 1.234, 1.2, 1.15, 1.25, trend.Exact, 0.1},
		{"under the limit", fine, 0.2, 0.3, -inf, 0.3, trend.Below, 0.1},
		{"off the top", fine, 51, 50, 50, inf, trend.Above, 0.1},
		{"zero", noLimit, -0.4, 0, -inf, 0.25, trend.Exact, 0.2},
		{"a mark", card, 3.4, 2, 1, 3.5, trend.Exact, 1.25},
		{"a card's zero", card, 0.9, 0, -inf, 1, trend.Exact, 1},
		{"a card's zero written as less than", written, 0.9, 2, -inf, 2, trend.Below, 1.25},
		{"the last mark", card, 40, 10, 7.5, inf, trend.Exact, 2.5},
		{"half-way", half, 3.4, 3.5, 2.75, 4.25, trend.Exact, 1.5},
	} {
		o := c.k.report(1, c.y)
		near := func(a, b float64) bool { return a == b || math.Abs(a-b) < 1e-9 }
		if !near(o.Value, c.value) || !near(o.Lo, c.lo) || !near(o.Hi, c.hi) || o.Bound != c.bound || !near(o.SD, c.sd) {
			t.Errorf("%s: %+v", c.name, o)
		}
	}
}

// The sum that the kit sees lies in the interval it reports: the model that the engine is promised.
func TestReportedIntervalHoldsTheSum(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 3000 {
		phosphate := r.Float64() < 0.5
		k, floor := drawKit(r, KitClass(r.IntN(3)), phosphate)
		y := floor * uniform(r, -0.5, 15)
		if o := k.report(0, y); y < o.Lo-1e-9 || y > o.Hi+1e-9 {
			t.Fatalf("%+v sees %v and reports %+v", k, y, o)
		}
	}
}
