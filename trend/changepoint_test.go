package trend

import (
	"math"
	"testing"
)

type changeCase struct {
	ID       string
	Y        []float64
	Expected struct {
		Shift struct {
			MinSegment int                `json:"min_segment"`
			RSS        map[string]float64 `json:"rss_by_breaks"`
			Single     single             `json:"single_break"`
			Short      single             `json:"single_break_min_segment_2"`
		} `json:"mean_shift"`
	}
}

type single struct {
	After      int     `json:"change_after_reading"`
	MeanBefore float64 `json:"mean_before"`
	MeanAfter  float64 `json:"mean_after"`
	CI95       []int   `json:"ci95_change_after_reading"`
	CI80       []int   `json:"ci80_change_after_reading"`
}

// Made by dynamic programming in Python and with R 4.2.2, strucchange 1.5-3. Positions exact, the rest 1e-9.
func TestChangePointReference(t *testing.T) {
	for _, c := range reference[changeCase](t, "change_point.json") {
		t.Run(c.ID, func(t *testing.T) {
			checkShifts(t, c)
		})
	}
}

func checkShifts(t *testing.T, c changeCase) {
	t.Helper()
	want := c.Expected.Shift
	m := bestSplit(c.Y, want.MinSegment)
	check(t, "RSS of one level", m.none, want.RSS["0"], 1e-9, 0)
	check(t, "RSS of two", m.rss, want.RSS["1"], 1e-9, 0)
	checkSingle(t, c.Y, m, want.Single)
	checkSingle(t, c.Y, bestSplit(c.Y, 2), want.Short)
}

func checkSingle(t *testing.T, y []float64, m oneMove, want single) {
	t.Helper()
	if m.after != want.After {
		t.Errorf("move after %d, want %d", m.after, want.After)
	}
	check(t, "mean before", m.before, want.MeanBefore, 1e-9, 0)
	check(t, "mean after", m.since, want.MeanAfter, 1e-9, 0)
	for level, ci := range map[float64][]int{0.95: want.CI95, 0.8: want.CI80} {
		if ci == nil {
			continue
		}
		if lo, hi, ok := intervalOf(y, m, level); !ok || lo != ci[0] || hi != ci[1] {
			t.Errorf("%g: move after %d to %d (%v), want %v", level, lo, hi, ok, ci)
		}
	}
}

// intervalOf is the interval of the single move in reading numbers, as strucchange gives it: it comes after reading lo
// at the earliest, hi at the latest. Either may lie outside the readings where the move is weak.
func intervalOf(y []float64, m oneMove, level float64) (lo, hi int, ok bool) {
	s, b, n := newSums(y), m.after, len(y)
	before, after := s.rss(0, b)/float64(b), s.rss(b, n)/float64(n-b)
	early, late, ok := moveInterval(m.since-m.before, before, after, level)
	return b - int(math.Ceil(late)), b - int(math.Floor(early)), ok
}

// Bai's distribution must be one: 1/2 at 0 by symmetry, rising, joined at 0; and 11 to 11 for 97.5 % (Bai 1997, p. 557,
// remembered).
func TestWalk(t *testing.T) {
	check(t, "97.5 % of the symmetric walk", walk{1}.quantile(0.975), dateReach, 1e-14, 0)
	check(t, "97.5 % as published", dateReach, 11.03, 0, 0.01)
	check(t, "2.5 %", walk{1}.quantile(0.025), -walk{1}.quantile(0.975), 1e-9, 0)
	for _, phi := range []float64{0.01, 0.3, 1, 2, 50} {
		w := walk{phi}
		check(t, "continuous", w.below(1e-12), w.below(-1e-12), 0, 1e-5)
		last := 0.0
		for x := -2000.0; x <= 4000; x += 7 {
			v := w.below(x)
			if v < last-1e-12 || v < 0 || v > 1 {
				t.Fatalf("phi %g: %g at %g after %g", phi, v, x, last)
			}
			last = v
		}
	}
	check(t, "mills at the join", mills(20), math.Exp(200)*0.5*math.Erfc(20/math.Sqrt2), 1e-7, 0)
}

func TestChangePointEdges(t *testing.T) {
	clean := []float64{1, 1, 1, 5, 5, 5}
	m := bestSplit(clean, 2)
	if _, _, ok := intervalOf(clean, m, 0.95); ok || m.after != 3 || m.before != 1 || m.since != 5 || m.rss != 0 {
		t.Errorf("a clean move: %+v", m)
	}
}

// moveInterval gives the quantiles of the error of the date of a move, in readings, from its size and the variances
// before and after it. ok is false where there are none: no move, or no variance on one side.
//
// In units of (σ/δ)², δ the size of the move, the error of the date is distributed like the place of the maximum of a
// two-sided random walk with drift, whose sides have the variances before and after it.
//
// Reference: J. Bai, 1997, Estimation of a change point in multiple regression models, Review of Economics and
// Statistics 79, 551–563, proposition 3 and appendix B.
func moveInterval(move, varBefore, varAfter, level float64) (early, late float64, ok bool) {
	tail := (1 - level) / 2
	w := walk{varAfter / varBefore}
	if !(varBefore > 0) || !(varAfter > 0) || move == 0 || w.below(0) < tail || w.below(0) > 1-tail {
		return 0, 0, false
	}
	unit := varBefore / (move * move)
	return w.quantile(tail) * unit, w.quantile(1-tail) * unit, true
}

// walk is the distribution of the place of the maximum of W(s) − |s|/2, W a two-sided Brownian motion whose variance a
// step is 1 before 0 and phi after it.
type walk struct{ phi float64 }

// below is the chance of a place below x (Bai 1997, appendix B, for ξ = 1). exp(ax)·Φ(−b√x) is written as exp(−cx/8)
// times a Mills ratio, which neither over- nor underflows: b²/2 − a = c/8.
func (w walk) below(x float64) float64 {
	phi, root := w.phi, math.Sqrt(math.Abs(x))
	const s2p = 2.506628274631000502 // √2π
	if x <= 0 {
		x = -x
		f := 1 / phi
		return math.Exp(-x/8)*(-root/s2p-phi*(phi+2)/(phi+1)*mills((0.5+f)*root)) +
			((phi+2)*(phi+2)/(phi+1)-2+x/2)*normalCDF(-root/2)
	}
	f := 1 / phi
	return 1 + math.Exp(-f*x/8)*(math.Sqrt(f)*root/s2p+f*(2*phi+1)/(phi+1)*mills((phi+0.5)/math.Sqrt(phi)*root)) -
		((2*phi+1)*(2*phi+1)/((phi+1)*phi)-2+f*x/2)*normalCDF(-math.Sqrt(f)*root/2)
}

// mills is exp(z²/2)·Φ(−z), z >= 0.
func mills(z float64) float64 {
	if z < 20 {
		return math.Exp(z*z/2) * normalCDF(-z)
	}
	q := 1 / (z * z)
	return (1 - q*(1-3*q*(1-5*q))) / (z * math.Sqrt(2*math.Pi))
}

// quantile by halving.
func (w walk) quantile(chance float64) float64 {
	lo, hi := -1.0, 1.0
	for w.below(lo) > chance {
		lo *= 2
	}
	for w.below(hi) < chance {
		hi *= 2
	}
	for range 100 {
		mid := (lo + hi) / 2
		if w.below(mid) < chance {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
