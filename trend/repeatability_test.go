package trend

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Ten pairs that differ by 0.2: SD = 0.2/√2. The points of χ² with 10 degrees of freedom are 3.247 and 20.483 at 2.5
// and 97.5 %, 3.940 and 18.307 at 5 and 95 % (any table, such as NIST/SEMATECH e-Handbook 1.3.6.7.4).
func TestRepeatability(t *testing.T) {
	var pairs [][2]float64
	for i := range 10 {
		pairs = append(pairs, [2]float64{float64(i), float64(i) + 0.2*float64(1-2*(i%2))})
	}
	r := RepeatabilityOf(pairs, 0.95)
	sd := 0.2 / math.Sqrt2
	if r.Pairs != 10 || len(r.Notes) != 0 {
		t.Errorf("got %+v", r)
	}
	check(t, "sd", r.SD, sd, 1e-12, 0)
	check(t, "lo", r.Interval.Lo, sd*math.Sqrt(10/20.483), 1e-4, 0)
	check(t, "hi", r.Interval.Hi, sd*math.Sqrt(10/3.247), 1e-4, 0)
	check(t, "smallest difference", r.Smallest, 1.959964*0.2, 1e-6, 0)
	r = RepeatabilityOf(pairs, 0.9)
	check(t, "lo at 90 %", r.Interval.Lo, sd*math.Sqrt(10/18.307), 1e-4, 0)
	check(t, "hi at 90 %", r.Interval.Hi, sd*math.Sqrt(10/3.940), 1e-4, 0)
}

// 95 % of the intervals hold the true SD, and 5 % of the differences between tests of the same water exceed the
// smallest one that would count; 400 trials of 6 pairs, bounds of four standard errors.
func TestRepeatabilityHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	held := 0
	for range 400 {
		var pairs [][2]float64
		for range 6 {
			water := 10 * r.Float64()
			pairs = append(pairs, [2]float64{water + 0.3*r.NormFloat64(), water + 0.3*r.NormFloat64()})
		}
		if in := RepeatabilityOf(pairs, 0.95).Interval; in.Lo <= 0.3 && 0.3 <= in.Hi {
			held++
		}
	}
	if held < 362 || held > 398 {
		t.Errorf("%d of 400 intervals hold the standard deviation", held)
	}
}

func TestRepeatabilityEdges(t *testing.T) {
	if r := RepeatabilityOf(nil, 0.95); !math.IsNaN(r.SD) || !math.IsNaN(r.Smallest) ||
		noteWith(r.Notes, "too-few") == "" {
		t.Errorf("no pair: %+v", r)
	}
	if r := RepeatabilityOf([][2]float64{{5, 5}, {10, 10}}, 0.95); r.SD != 0 || noteWith(r.Notes, "constant") == "" {
		t.Errorf("no difference: %+v", r)
	}
	mustPanic(t, "trend: RepeatabilityOf", func() { RepeatabilityOf([][2]float64{{1, math.Inf(1)}}, 0.95) })
	mustPanic(t, "trend: RepeatabilityOf", func() { RepeatabilityOf(nil, 0) })
}
