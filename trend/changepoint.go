package trend

import "math"

// places are 0, 1, 2 …: times for readings of which only the order counts.
func places(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = float64(i)
	}
	return out
}

// oneMove is one move of the level: the least-squares split of values into two levels.
type oneMove struct {
	after         int     // the move comes after this many values
	before, since float64 // mean levels
	none, rss     float64 // residual sums of squares about one level and about the two
}

// bestSplit finds the split of the values y, in order of time, that leaves the smallest residual sum of squares, with
// at least minSegment values on each side; of equal ones the first. There must be twice so many.
//
// Reference: J. Bai, P. Perron, 2003, Computation and analysis of multiple structural change models, Journal of Applied
// Econometrics 18, 1–22, for one break.
func bestSplit(y []float64, minSegment int) oneMove {
	n := len(y)
	s := newSums(y)
	best := oneMove{none: s.rss(0, n), rss: math.Inf(1)}
	for b := minSegment; b+minSegment <= n; b++ {
		if rss := s.rss(0, b) + s.rss(b, n); rss < best.rss {
			best.after, best.rss = b, rss
		}
	}
	best.before, best.since = s.mean(0, best.after), s.mean(best.after, n)
	return best
}

// sums are cumulative sums of values and squares, about the mean so that no digits are lost.
type sums struct {
	shift        float64
	sum, squares []float64
}

func newSums(y []float64) sums {
	s := sums{mean(y), make([]float64, len(y)+1), make([]float64, len(y)+1)}
	for i, v := range y {
		v -= s.shift
		s.sum[i+1] = s.sum[i] + v
		s.squares[i+1] = s.squares[i] + v*v
	}
	return s
}

// rss is the residual sum of squares of the readings from a up to before b about their mean.
func (s sums) rss(a, b int) float64 {
	d := s.sum[b] - s.sum[a]
	return max(s.squares[b]-s.squares[a]-d*d/float64(b-a), 0)
}

func (s sums) mean(a, b int) float64 { return s.shift + (s.sum[b]-s.sum[a])/float64(b-a) }

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
