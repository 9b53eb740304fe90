package trend

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// Move is one move of the level among a series of readings, or the answer that none can be told.
type Move struct {
	Found bool
	// Gradual: something changed, but a straight course describes it at least as well as one move does. Found is false.
	Gradual bool

	// The following are NaN, or 0, unless Found.
	After        int     // the move comes after this many readings
	Day          float64 // middle between the readings before and after the move
	DayLo, DayHi float64 // 95 % interval; −Inf, +Inf where it may have been before the first, after the last reading
}

// fewestMoved is the fewest readings in which a move is looked for, fewestSide on each side of it: with 3 against 5 the
// smallest p of a rank test is 2 in 56.
const (
	fewestMoved = 8
	fewestSide  = 3
	moveTail    = 0.05
	dateReach   = 11.03329244540944
)

// FindMove looks for one move of the level, such as follows a change of dosing, of method, or of what lives in the
// tank.
//
// It works on scores, so that gross errors and limits do no harm: the score of a reading is the number of readings that
// are certainly smaller less that of those certainly larger. The date is the k that splits the scores best by least
// squares, with at least 3 readings on each side, which is where
//
//	M = max_k (Σ_{i<=k} score[i])²/(k(n−k))
//
// is reached; unlike Pettitt's sum it is not drawn to the middle. P is the share of random orders of the scores with an
// M as large, from 1999 orders with a fixed seed, the readings' own counted in; it is never below 0.0005. Where P is
// above 0.05 no move can be told.
//
// The interval of the date is Bai's for the scores, with one variance. In units of (σ/δ)², δ the size of the move and
// σ² the variance, the error of the date is distributed like the place of the maximum of W(s) − |s|/2, W a two-sided
// Brownian motion; dateReach is its 97.5 % point. A straight course of the scores over time whose BIC is no larger than
// the split's is reported as gradual.
//
// Readings are taken as independent but for the move: a wandering level makes P too small. In simulations of 12 to 60
// readings with a move of two standard deviations after the first third and 1 gross error in 20, 95 % intervals of the
// date held about 95 %; for moves of one standard deviation about 90 %, since only the luckily clear ones are found.
//
// obs must be in order of Day. With fewer than 8 readings no move is told. FindMove panics unless days and values are
// finite.
//
// Reference: R. Miller, D. Siegmund, 1982, Maximally selected chi square statistics, Biometrics 38, 1011–1016;
// M. Dwass, 1957, Modified randomization tests for nonparametric hypotheses, Annals of Mathematical Statistics 28,
// 181–187; J. Bai, 1997, Estimation of a change point in multiple regression models, Review of Economics and Statistics
// 79, 551–563, proposition 3; E. A. Gehan, 1965, Biometrika 52, 203–223, for the scores of limits.
func FindMove(obs []Observation) Move {
	n := len(obs)
	nan := math.NaN()
	m := Move{Day: nan, DayLo: nan, DayHi: nan}
	if n < fewestMoved {
		return m
	}
	days, scores := scoresOf(obs)
	if moveChance(slices.Clone(scores)) > moveTail {
		return m
	}
	split := bestSplit(scores, fewestSide)
	line := FitLine(days, scores)
	if m.Gradual = bic(n, line.RSS, 2) <= bic(n, split.rss, 3); m.Gradual {
		return m
	}
	m.Found, m.After = true, split.after
	m.Day = (days[m.After-1] + days[m.After]) / 2
	m.DayLo, m.DayHi = math.Inf(-1), math.Inf(1)
	reach := int(math.Ceil(dateReach * (split.rss / float64(n)) / sq(split.since-split.before)))
	if lo := m.After - reach; lo >= 1 {
		m.DayLo = days[lo-1]
	}
	if hi := m.After + reach; hi < n {
		m.DayHi = days[hi]
	}
	return m
}

// scoresOf are the days and the scores of readings.
func scoresOf(obs []Observation) (days, scores []float64) {
	days, y, bound := columns(obs)
	order := make([]float64, len(obs))
	for i := range order {
		if order[i] = float64(i); i > 0 && days[i] < days[i-1] {
			panic(fmt.Sprintf("trend: FindMove: reading %d: day %v is before day %v", i, days[i], days[i-1]))
		}
	}
	checkPairs("FindMove", days, y)
	a := newPairSlopes(order, y, bound).tally() // not by days: readings of one day keep their order
	for _, s := range a.scores {
		scores = append(scores, float64(s))
	}
	return days, scores
}

// moveChance is P of FindMove. The scores are shuffled.
func moveChance(scores []float64) float64 {
	clearest := func() float64 { s := bestSplit(scores, fewestSide); return s.none - s.rss }
	own := clearest()
	if own == 0 {
		return 1
	}
	const orders = 2000
	random := rand.New(rand.NewPCG(1, 2))
	far := 1
	for range orders - 1 {
		random.Shuffle(len(scores), func(i, j int) { scores[i], scores[j] = scores[j], scores[i] })
		if clearest() >= own*(1-1e-12) {
			far++
		}
	}
	return float64(far) / orders
}

// bic is Schwarz's criterion for a Gaussian fit, but for what is the same for all.
func bic(n int, rss float64, parameters int) float64 {
	return float64(n)*math.Log(rss/float64(n)) + float64(parameters)*math.Log(float64(n))
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
