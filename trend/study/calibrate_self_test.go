package study

import (
	"math"
	"testing"
)

// The score is by definition the integral of (F(x) − [x ≥ truth])² over x.
func TestCrpsIsTheIntegral(t *testing.T) {
	integral := func(cdf func(float64) float64, truth, lo, hi float64) float64 {
		const n = 200000
		sum := 0.0
		for i := range n {
			x := lo + (hi-lo)*(float64(i)+0.5)/n
			f := cdf(x)
			if x >= truth {
				f--
			}
			sum += f * f
		}
		return sum * (hi - lo) / n
	}
	for _, c := range []struct{ mean, sd, truth float64 }{{2, 0.5, 2.4}, {1, 2, -3}, {0.5, 0.1, 0.5}} {
		want := integral(func(x float64) float64 { return normalBelow((x - c.mean) / c.sd) }, c.truth, -20, 20)
		if got := crpsNormal(c.mean, c.sd, c.truth); math.Abs(got-want) > 2e-4 {
			t.Errorf("normal %+v: %.6f, the integral %.6f", c, got, want)
		}
	}
	for _, c := range []struct{ mu, sigma, truth float64 }{{0.3, 0.2, 1.5}, {0, 0.6, 0.4}, {1, 0.1, 3}} {
		cdf := func(x float64) float64 { return normalBelow((math.Log(x) - c.mu) / c.sigma) }
		want := integral(cdf, c.truth, 1e-9, 60)
		if got := crpsLogNormal(c.mu, c.sigma, c.truth); math.Abs(got-want) > 4e-4 {
			t.Errorf("log-normal %+v: %.6f, the integral %.6f", c, got, want)
		}
	}
	if got := crps(interval{2, 2, 2}, 2.5); math.Abs(got-0.5) > 1e-12 {
		t.Errorf("without spread: %v, want the absolute error 0.5", got)
	}
}

func TestCoverCounts(t *testing.T) {
	var c Cover
	nan, inf := math.NaN(), math.Inf(1)
	c.see(1, interval{0, 0.5, 1.5})
	c.see(2, interval{0, 0.5, 1.5})
	c.see(0.4, interval{0, 0.5, 1.5})
	c.see(1, interval{nan, nan, nan}) // nothing said, nothing counted
	c.see(inf, interval{50, 20, inf}) // "later" is inside an open range
	c.see(inf, interval{50, 20, 90})  // and outside a closed one
	if want := (Cover{N: 5, Inside: 2, Under: 1, Over: 2}); c != want {
		t.Errorf("%+v, want %+v", c, want)
	}
}

func TestFloorDates(t *testing.T) {
	s := weekly(399, span{203, 230})
	run := make([]said, len(s.Obs))
	for i := range run {
		run[i].p10, run[i].p50, run[i].p90 = 7, 20, 40
	}
	run[27].alarm = true // day 189: 14 days before, inside
	run[31].alarm = true // day 217: below already, 0 days, before the range
	run[10].alarm = true // day 70: 133 days before, beyond the horizon: after the range
	run[50].alarm = true // day 350: within 120 days of the end, left out
	var c Calibration
	c.seeDates(s, run)
	if want := (DateEnds{Begin: 3, Before: 1, End: 3, After: 1}); c.DateEnds != want {
		t.Errorf("%+v, want %+v", c.DateEnds, want)
	}
	if got := median(c.DateMisses); got != 13 { // 6 days at the first, 20 at the second
		t.Errorf("median miss %v, want 13", got)
	}
}

func TestReliabilityRows(t *testing.T) {
	var r Reliability
	for _, x := range []struct {
		said float64
		seen bool
	}{{0, false}, {0.02, false}, {0.55, true}, {0.45, true}, {0.52, false}, {1, true}, {math.NaN(), true}} {
		r.see(x.said, x.seen)
	}
	if r[0] != (Bin{N: 2, Said: 0.02}) || r[len(r)-1] != (Bin{N: 1, Said: 1, Happened: 1}) {
		t.Errorf("ends: %+v, %+v", r[0], r[len(r)-1])
	}
	if b := r[7]; b.N != 2 || b.Happened != 1 || math.Abs(b.Said-1.07) > 1e-12 {
		t.Errorf("0.5 to 0.6: %+v", b)
	}
	if got, want := r.Error(), (0.02+0.07+0.55+0)/6; math.Abs(got-want) > 1e-12 {
		t.Errorf("error %v, want %v", got, want)
	}
}

// Flags that say "test again" by a hand-made pattern.
func TestJudgeAgain(t *testing.T) {
	s := weekly(399, span{203, 230})
	s.sudden = []span{{199, 205}}
	run := make([]said, len(s.Obs))
	run[10].testAgain = true // day 70: for nothing
	run[29].testAgain = true // day 203: right, and in time
	run[30].testAgain = true // the same spell
	got := judgeAgain([]Series{*s}, [][]said{run})
	want := Again{Years: s.Years(), Asked: 2, Right: 1, Sudden: 1, Answered: 1}
	if got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
	run[29].testAgain = false // now only the second reading after
	if got := judgeAgain([]Series{*s}, [][]said{run}); got.Answered != 0 {
		t.Errorf("%+v: answered too late all the same", got)
	}
}

func TestJudgeOut(t *testing.T) {
	s := weekly(399, span{203, 230}) // below at the readings of days 203, 210, 217 and 224
	run := make([]said, len(s.Obs))
	run[10].bottomedOut = true // day 70: wrong
	run[30].bottomedOut = true // day 210: right
	run[31].alarm = true       // day 217: known by the alarm
	if got, want := judgeOut([]Series{*s}, [][]said{run}), (Out{Said: 2, Right: 1, Below: 4, Known: 2}); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
}
