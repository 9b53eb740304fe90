package study

import (
	"math"
	"math/rand/v2"
	"slices"
)

// A crowd is a belief as a sample of guesses, each a tank as it might be: a bootstrap particle filter (N. J. Gordon,
// D. J. Salmond, A. F. M. Smith, Novel approach to nonlinear/non-Gaussian Bayesian state estimation, IEE Proceedings
// F 140 (1993) 107–113).

const (
	drawn   = 400 // guesses followed ahead from each reading
	lookFor = 42  // days ahead
)

// guess is one of a crowd; T is its kind.
type guess[T any] interface {
	*T
	truth() float64        // level in floors
	today() float64        // day
	goOn(day float64)      // moves on to a day
	jitter(rng *rand.Rand) // moves a copy a little, so that a crowd does not become one guess
}

// multiply draws a new crowd in proportion to the weights.
func multiply[T any, G guess[T]](rng *rand.Rand, crowd, out []T, weights []float64) {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	step := total / float64(len(out))
	u, sum, j := rng.Float64()*step, weights[0], 0
	for i := range out {
		for u > sum && j < len(crowd)-1 {
			j++
			sum += weights[j]
		}
		out[i] = crowd[j]
		G(&out[i]).jitter(rng)
		u += step
	}
}

// lookAhead follows a sample of the crowd for six weeks, in steps of so many days, which a week must hold a whole
// number of. It gives no floor dates.
func lookAhead[T any, G guess[T]](crowd []T, stride float64) said {
	var now, in7, in14 []float64
	var below [lookFor + 1]int // by the day of the first moment below
	for i := range drawn {
		g := crowd[i*(len(crowd)/drawn)]
		k := G(&g)
		from := k.today()
		now = append(now, k.truth())
		first := math.Inf(1)
		for step := range int(lookFor/stride) + 1 {
			after := float64(step) * stride
			if step > 0 {
				k.goOn(from + after)
			}
			level := k.truth()
			if level < 1 && math.IsInf(first, 1) {
				first = after
				below[int(math.Ceil(first))]++
			}
			switch after {
			case 7:
				in7 = append(in7, level)
			case 14:
				in14 = append(in14, level)
			}
		}
	}
	within := func(days int) float64 {
		n := 0
		for _, b := range below[:days+1] {
			n += b
		}
		return float64(n) / drawn
	}
	r := unsaid()
	r.now, r.ahead7, r.ahead14 = middle80(now), middle80(in7), middle80(in14)
	r.p14, r.p28, r.p42 = within(14), within(28), within(42)
	r.score = r.p42
	return r
}

// middle80 is the mean and the 10 and 90 % points of a sample.
func middle80(x []float64) interval {
	slices.Sort(x)
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	n := len(x)
	return interval{sum / float64(n), x[n/10], x[n-1-n/10]}
}
