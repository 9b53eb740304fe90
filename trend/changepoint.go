package trend

import (
	"fmt"
	"math"
)

// places are 0, 1, 2 …: times for readings of which only the order counts.
func places(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = float64(i)
	}
	return out
}

// Segments are levels between moves.
type Segments struct {
	Breaks []int   // the moves come after these readings, counted from 1; none for one level
	RSS    float64 // residual sum of squares about the levels
	BIC    float64 // 2(m+1)·log n − 2·log L for m moves, L the Gaussian likelihood
}

// MeanShifts are the best segments for each number of moves.
type MeanShifts struct {
	N          int
	MinSegment int        // fewest readings of a level
	ByMoves    []Segments // index: number of moves
	Best       int        // the number of moves with the smallest BIC
	F          float64    // the largest F of one move against none; NaN where one move does not fit in
	Before     float64    // mean before and after the one move of ByMoves[1]; NaN likewise
	After      float64
}

// FitMeanShifts splits the values y, in order of time, into levels by least squares: for every number of moves that leaves
// each level at least minSegment readings, the one split with the smallest residual sum of squares, by dynamic programming in
// O(n²) for each number.
//
//	log L = −n/2·(log RSS + 1 − log n + log 2π),  BIC = −2·log L + 2(m+1)·log n
//	F = (RSS0 − RSS1)/(RSS1/(n−2))
//
// Least squares takes every gross error and every slow course for a move; BIC finds moves where there are none more often
// than a test would. minSegment is usually 0.15·n. FitMeanShifts panics unless all values are finite and minSegment >= 1.
//
// Reference: J. Bai, P. Perron, 2003, Computation and analysis of multiple structural change models, Journal of Applied
// Econometrics 18, 1–22; G. Schwarz, 1978, Estimating the dimension of a model, Annals of Statistics 6, 461–464.
func FitMeanShifts(y []float64, minSegment int) MeanShifts {
	checkPairs("FitMeanShifts", y, y)
	if minSegment < 1 {
		panic(fmt.Sprintf("trend: FitMeanShifts: segments of %d readings", minSegment))
	}
	n := len(y)
	m := MeanShifts{N: n, MinSegment: minSegment, F: math.NaN(), Before: math.NaN(), After: math.NaN()}
	s := newSums(y)
	// best[e] is the smallest RSS of the first e readings with the moves so far; from[m][e] is its last move.
	best := make([]float64, n+1)
	for e := range best {
		best[e] = s.rss(0, e)
	}
	var from [][]int
	for moves := 0; moves == 0 || (moves+1)*minSegment <= n; moves++ {
		if moves > 0 {
			next, last := make([]float64, n+1), make([]int, n+1)
			for e := range next {
				next[e] = math.Inf(1)
				for b := moves * minSegment; b+minSegment <= e; b++ {
					if v := best[b] + s.rss(b, e); v < next[e] {
						next[e], last[e] = v, b
					}
				}
			}
			best, from = next, append(from, last)
		}
		m.add(best[n], from)
	}
	m.one(s)
	return m
}

// add appends the best segments, whose moves are read off backwards.
func (m *MeanShifts) add(rss float64, from [][]int) {
	n, log := float64(m.N), math.Log
	s := Segments{RSS: rss, Breaks: make([]int, len(from))}
	end := m.N
	for k := len(from) - 1; k >= 0; k-- {
		end = from[k][end]
		s.Breaks[k] = end
	}
	s.BIC = n*(log(rss)+1-log(n)+log(2*math.Pi)) + 2*float64(len(from)+1)*log(n)
	m.ByMoves = append(m.ByMoves, s)
	if s.BIC < m.ByMoves[m.Best].BIC {
		m.Best = len(from)
	}
}

// one fills in what is said of a single move.
func (m *MeanShifts) one(s sums) {
	if len(m.ByMoves) < 2 {
		return
	}
	b := m.ByMoves[1].Breaks[0]
	m.Before, m.After = s.mean(0, b), s.mean(b, m.N)
	m.F = (m.ByMoves[0].RSS - m.ByMoves[1].RSS) / (m.ByMoves[1].RSS / float64(m.N-2))
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
	if b <= a {
		return 0
	}
	d := s.sum[b] - s.sum[a]
	return max(s.squares[b]-s.squares[a]-d*d/float64(b-a), 0)
}

func (s sums) mean(a, b int) float64 { return s.shift + (s.sum[b]-s.sum[a])/float64(b-a) }

// moveInterval gives the quantiles of the error of the date of a move, in readings, from its size and the variances before and
// after it. ok is false where there are none: no move, or no variance on one side.
//
// In units of (σ/δ)², δ the size of the move, the error of the date is distributed like the place of the maximum of a
// two-sided random walk with drift, whose sides have the variances before and after it.
//
// Reference: J. Bai, 1997, Estimation of a change point in multiple regression models, Review of Economics and Statistics 79,
// 551–563, proposition 3 and appendix B.
func moveInterval(move, varBefore, varAfter, level float64) (early, late float64, ok bool) {
	tail := (1 - level) / 2
	w := walk{varAfter / varBefore}
	if !(varBefore > 0) || !(varAfter > 0) || move == 0 || w.below(0) < tail || w.below(0) > 1-tail {
		return 0, 0, false
	}
	unit := varBefore / (move * move)
	return w.quantile(tail) * unit, w.quantile(1-tail) * unit, true
}

// walk is the distribution of the place of the maximum of W(s) − |s|/2, W a two-sided Brownian motion whose variance a step
// is 1 before 0 and phi after it.
type walk struct{ phi float64 }

// below is the chance of a place below x (Bai 1997, appendix B, for ξ = 1). exp(ax)·Φ(−b√x) is written as exp(−cx/8) times a
// Mills ratio, which neither over- nor underflows: b²/2 − a = c/8.
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
