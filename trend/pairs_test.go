package trend

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// rampCase is a made series of a kind that slopes find hard.
type rampCase struct {
	name string
	make func(n int, r *rand.Rand) (t, y []float64)
}

func courses() []rampCase {
	weekly := func(i int) float64 { return 20_000 + 7*float64(i) }
	each := func(f func(i int, r *rand.Rand) (t, y float64)) func(int, *rand.Rand) (t, y []float64) {
		return func(n int, r *rand.Rand) (t, y []float64) {
			for i := range n {
				a, b := f(i, r)
				t, y = append(t, a), append(y, b)
			}
			return t, y
		}
	}
	return []rampCase{
		{"noise at random times", each(func(i int, r *rand.Rand) (float64, float64) {
			return 1e4 * r.Float64(), r.NormFloat64()
		})},
		{"falling", each(func(i int, r *rand.Rand) (float64, float64) {
			return weekly(i) + r.Float64(), 8 - 1e-4*float64(i) + 0.3*r.NormFloat64()
		})},
		{"steps of 0.1", each(func(i int, r *rand.Rand) (float64, float64) {
			return weekly(i), math.Round(10*r.NormFloat64()) / 10
		})},
		{"mostly zero", each(func(i int, r *rand.Rand) (float64, float64) {
			return weekly(i), max(0, math.Round(10*r.NormFloat64()-8)/10)
		})},
		{"days and steps of 1", each(func(i int, r *rand.Rand) (float64, float64) {
			return math.Floor(float64(i) / 3), math.Floor(6 * r.Float64())
		})},
		{"a line in decimals", each(func(i int, r *rand.Rand) (float64, float64) {
			return 0.1 * float64(i), 0.3 * float64(i)
		})},
		{"half on a line", each(func(i int, r *rand.Rand) (float64, float64) {
			return 0.7 * float64(i), 0.1*float64(i) + float64(i%2)*r.NormFloat64()
		})},
		{"half on a line, half below", each(func(i int, r *rand.Rand) (float64, float64) {
			return 0.7 * float64(i), 0.1*float64(i) - float64(i%2)*math.Abs(r.NormFloat64())*float64(i)
		})},
		{"two lines", each(func(i int, r *rand.Rand) (float64, float64) { return 0.1 * float64(i), 0.3 * float64(i*(i%2)) })},
		{"all equal", each(func(i int, r *rand.Rand) (float64, float64) { return weekly(i), 8.1 })},
		{"two times", each(func(i int, r *rand.Rand) (float64, float64) { return float64(i % 2), r.NormFloat64() })},
		{"one time", each(func(i int, r *rand.Rand) (float64, float64) { return 3, r.NormFloat64() })},
		{"gross errors", each(func(i int, r *rand.Rand) (float64, float64) {
			return weekly(i), math.Tan(1.57 * r.Float64())
		})},
		{"tiny values", each(func(i int, r *rand.Rand) (float64, float64) {
			return weekly(i) + r.Float64(), 1e-9 * r.NormFloat64()
		})},
		{"large offset", each(func(i int, r *rand.Rand) (float64, float64) {
			return weekly(i), 1e6 + math.Round(100*r.NormFloat64())/100
		})},
		{"seconds apart", each(func(i int, r *rand.Rand) (float64, float64) {
			return weekly(i/2) + float64(i%2)/86_400, 8 + math.Round(100*r.NormFloat64())/100
		})},
	}
}

// The search must find what counting all slopes shows; the largest size needs cuts within cuts.
func TestSearchAgainstAllPairs(t *testing.T) {
	for _, c := range courses() {
		for _, n := range []int{2, 9, 150, 400, 1200} {
			for _, censor := range []float64{0, 0.3, 0.95} {
				if n > 1000 && censor > 0.5 {
					continue
				}
				t.Run(fmt.Sprintf("%s/%d/%g", c.name, n, censor), func(t *testing.T) {
					r := rand.New(rand.NewPCG(uint64(n), 7))
					at, y := c.make(n, r)
					compareSearch(t, newPairSlopes(at, y, someBounds(n, censor, r)), r)
				})
			}
		}
	}
}

// someBounds makes about the given share of n readings limits, one in four of these from above; nil for none.
func someBounds(n int, share float64, r *rand.Rand) []Bound {
	if share == 0 {
		return nil
	}
	out := make([]Bound, n)
	for i := range out {
		if r.Float64() < share {
			out[i] = Below
			if r.IntN(4) == 0 {
				out[i] = Above
			}
		}
	}
	return out
}

// compareSearch counts, for each answer, the slopes below it and up to it, and asks that its place lies between: to
// within 1e-10 of the slope or 1e-12 of the steepest course through the range of the values.
func compareSearch(t *testing.T, p *pairSlopes, r *rand.Rand) {
	t.Helper()
	all := p.all()
	each := int64(1)
	if p.plain { // the list has each slope once
		each = 2
	}
	if each*int64(len(all)) != p.weight {
		t.Fatalf("weight = %d, but %d slopes", p.weight, len(all))
	}
	if len(all) == 0 {
		return
	}
	last := p.weight - 1
	places := []int64{0, last, last / 2, p.weight / 2, last * 2 / 5, last * 9 / 20, last * 11 / 20}
	for range 3 {
		places = append(places, r.Int64N(p.weight))
	}
	tiny := 1e-12 * (p.highest - p.lowest) / (p.t[len(p.t)-1] - p.t[0])
	for i, got := range p.bySearch(places) {
		off := 1e-10*math.Abs(got) + tiny
		var below, upTo int64
		for _, s := range all {
			if s < got-off {
				below += each
			}
			if s <= got+off {
				upTo += each
			}
		}
		if at := places[i]; at < below || at >= upTo {
			t.Errorf("place %d of %d: slope %.17g, but %d are below and %d up to it", at, p.weight, got, below, upTo)
		}
	}
}

func benchCourse(n int) (t, y []float64) {
	r := rand.New(rand.NewPCG(3, 4))
	for i := range n {
		t = append(t, 20_000+float64(i)/3+0.2*r.Float64())
		y = append(y, math.Round((8-0.3*float64(i)/float64(n)+0.3*r.NormFloat64())*100)/100)
	}
	return t, y
}

// One pass of what is shown without a model: slope, both intervals, and the Mann–Kendall test.
func BenchmarkRankTrend(b *testing.B) {
	for _, n := range []int{60, 1_000, 10_000, 50_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			t, y := benchCourse(n)
			b.ReportAllocs()
			for b.Loop() {
				RankTrend(t, y, 0.95, 0.8)
			}
		})
	}
}

func BenchmarkAkritasTheilSen(b *testing.B) {
	for _, n := range []int{8, 60, 1_000, 10_000, 50_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			t, y := benchCourse(n)
			bound := make([]Bound, n)
			for i := range y {
				if y[i] < 7.8 {
					y[i], bound[i] = 7.8, Below
				}
			}
			b.ReportAllocs()
			for b.Loop() {
				AkritasTheilSen(t, y, bound, 0.95, 0.8)
			}
		})
	}
}
