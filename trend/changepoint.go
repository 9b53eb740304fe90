package trend

import "math"

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
