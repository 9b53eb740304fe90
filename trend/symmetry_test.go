package trend

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// readings draws a short series: steps or not, ties in time or not, limits or not.
type readings struct {
	t, y  []float64
	bound []Bound
}

func drawReadings(t *rapid.T) readings {
	n := rapid.IntRange(0, 24).Draw(t, "n")
	step := rapid.SampledFrom([]float64{1, 0.5, 0.01}).Draw(t, "step")
	reach := rapid.SampledFrom([]int{0, 2, 5, 2000}).Draw(t, "reach")
	days := rapid.SampledFrom([]int{3, 30, 4000}).Draw(t, "days")
	limits := rapid.SampledFrom([]int{0, 0, 2, 9}).Draw(t, "limits")
	var r readings
	for range n {
		r.t = append(r.t, float64(rapid.IntRange(0, days).Draw(t, "day")))
		r.y = append(r.y, step*float64(rapid.IntRange(-reach, reach).Draw(t, "value")))
		b := Exact
		if rapid.IntRange(0, 9).Draw(t, "limit") < limits {
			b = rapid.SampledFrom([]Bound{Below, Below, Above}).Draw(t, "bound")
		}
		r.bound = append(r.bound, b)
	}
	return r
}

// change makes new readings; order, if not nil, is the new order.
func (r readings) change(time, value func(float64) float64, bound func(Bound) Bound, order []int) readings {
	var out readings
	for i := range r.t {
		at := i
		if order != nil {
			at = order[i]
		}
		out.t, out.y, out.bound = append(out.t, time(r.t[at])), append(out.y, value(r.y[at])),
			append(out.bound, bound(r.bound[at]))
	}
	return out
}

func keep(x float64) float64   { return x }
func negate(x float64) float64 { return -x }
func keepBound(b Bound) Bound  { return b }
func turnBound(b Bound) Bound {
	switch b {
	case Below:
		return Above
	case Above:
		return Below
	default:
		return Exact
	}
}

// close compares with rounding in mind; both may be NaN, or infinite.
func closeTo(a, b float64) bool { return agrees(a, b, 1e-9, 1e-9) }

// outcome is all that is compared.
type outcome struct {
	line     MedianSlope
	test     KendallTest
	censored CensoredSlope
}

func (r readings) outcome() outcome {
	line, test := RankTrend(r.t, r.y, 0.95, 0.8)
	return outcome{line, test, AkritasTheilSen(r.t, r.y, r.bound, 0.95, 0.8)}
}

// expect checks that b is a with all slopes times scale, S times side and, for side −1, interval ends exchanged.
func expect(t *rapid.T, a, b outcome, scale float64, side int64) {
	t.Helper()
	number := func(what string, got, want float64) {
		t.Helper()
		if !closeTo(got, want) {
			t.Errorf("%s = %g, want %g", what, got, want)
		}
	}
	number("slope", b.line.Slope, scale*a.line.Slope)
	number("censored slope", b.censored.Slope, scale*a.censored.Slope)
	ends := func(what string, got, want Interval) {
		t.Helper()
		lo, hi := scale*want.Lo, scale*want.Hi
		if scale < 0 {
			lo, hi = hi, lo
		}
		number(what+" lo", got.Lo, lo)
		number(what+" hi", got.Hi, hi)
	}
	for i := range a.censored.Intervals {
		ends("censored", b.censored.Intervals[i], a.censored.Intervals[i])
		if scale > 0 { // the rank interval is by one rank lopsided: see RankTrend
			ends("rank", b.line.Intervals[i], a.line.Intervals[i])
		}
	}
	if b.test.S != side*a.test.S || b.censored.S != side*a.censored.S {
		t.Errorf("S = %d and %d, want %d and %d", b.test.S, b.censored.S, side*a.test.S, side*a.censored.S)
	}
	number("tau-b", b.test.TauB, float64(side)*a.test.TauB)
	number("var S", b.test.VarS, a.test.VarS)
	number("p", b.test.PNormal, a.test.PNormal)
	number("exact p", b.test.PExact, a.test.PExact)
	number("censored var S", b.censored.VarS, a.censored.VarS)
	number("censored exact p", b.censored.PExact, a.censored.PExact)
}

func TestSlopeSymmetries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawReadings(t)
		a := r.outcome()
		shift := float64(rapid.IntRange(-20_000, 20_000).Draw(t, "shift"))
		expect(t, a, r.change(func(x float64) float64 { return x + shift }, keep, keepBound, nil).outcome(), 1, 1)
		expect(t, a, r.change(keep, func(y float64) float64 { return 8*y + 16 }, keepBound, nil).outcome(), 8, 1)
		expect(t, a, r.change(func(x float64) float64 { return 4 * x }, keep, keepBound, nil).outcome(), 0.25, 1)
		expect(t, a, r.change(keep, negate, turnBound, nil).outcome(), -1, -1)
		expect(t, a, r.change(negate, keep, keepBound, nil).outcome(), -1, -1)
		indices := make([]int, len(r.t))
		for i := range indices {
			indices[i] = i
		}
		expect(t, a, r.change(keep, keep, keepBound, rapid.Permutation(indices).Draw(t, "order")).outcome(), 1, 1)
	})
}

// What no reading may break: shares are shares, ends enclose the slope, and without limits both slopes are one.
func TestSlopeBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawReadings(t)
		o := r.outcome()
		for _, p := range []float64{o.test.PNormal, o.test.PExact, o.censored.PExact, math.Abs(o.test.TauB)} {
			if p < 0 || p > 1+1e-12 {
				t.Errorf("%g is not a share", p)
			}
		}
		for i, in := range o.line.Intervals {
			if in.Lo > o.line.Slope || in.Hi < o.line.Slope || in.Attained < 0 || in.Attained > 1 {
				t.Errorf("slope %g, interval %+v", o.line.Slope, in)
			}
			if c := o.censored.Intervals[i]; c.Lo > o.censored.Slope || c.Hi < o.censored.Slope {
				t.Errorf("censored slope %g, interval %+v", o.censored.Slope, c)
			}
		}
		for i := range r.bound {
			r.bound[i] = Exact
		}
		c := r.outcome().censored
		if !closeTo(c.Slope, o.line.Slope) || c.S != o.test.S || !closeTo(c.VarS, o.test.VarS) ||
			!closeTo(c.PNormal, o.test.PNormal) {
			t.Errorf("all numbers: %+v, want %+v and %+v", c, o.line, o.test)
		}
	})
}

// A straight line has its own slope, whatever its ties; a level one has slope 0 and no test.
func TestSlopeOfALine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		days := rapid.SliceOfNDistinct(rapid.IntRange(0, 5000), 2, 40, rapid.ID[int]).Draw(t, "days")
		slope := float64(rapid.IntRange(-100, 100).Draw(t, "slope")) / 100
		var at, y []float64
		for _, d := range days {
			at, y = append(at, float64(d)), append(y, 8+slope*float64(d))
		}
		m := theilSen(at, y, 0.95)
		if !closeTo(m.Slope, slope) || !closeTo(m.Intervals[0].Lo, slope) {
			t.Errorf("line of slope %g: %+v", slope, m)
		}
		l := FitLine(at, y)
		if !closeTo(l.Slope, slope) {
			t.Errorf("least squares: %g, want %g", l.Slope, slope)
		}
		if slope == 0 {
			if k := MannKendall(at, y); k.S != 0 || k.VarS != 0 || k.Z != 0 || !math.IsNaN(k.PNormal) || !math.IsNaN(k.TauB) {
				t.Errorf("level: %+v", k)
			}
		}
	})
}

// Comparing the other way round turns the answer over.
func TestCompareSymmetries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := rapid.SliceOfN(rapid.Map(rapid.IntRange(-8, 8), func(i int) float64 { return float64(i) / 4 }), 2, 30).Draw(t,
			"y")
		split := rapid.IntRange(1, len(y)-1).Draw(t, "split")
		of := func(v []float64) []Observation {
			var out []Observation
			for i, x := range v {
				out = append(out, Observation{Day: float64(i), Value: x, Lo: x, Hi: x, SD: 1})
			}
			return out
		}
		first, second := of(y[:split]), of(y[split:])
		up, down := Compare(first, second, 0.9), Compare(second, first, 0.9)
		if !closeTo(up.Shift, -down.Shift) || !closeTo(up.Interval.Lo, -down.Interval.Hi) || !closeTo(up.P, down.P) {
			t.Errorf("compare: %+v, the other way %+v", up, down)
		}
	})
}
