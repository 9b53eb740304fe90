package water

import "math"

// solveRising finds x in [lo, hi] with f(x) = y for a strictly rising f, to the last bit or two: bisection steps keep
// the bracket, secant steps make it quick. NaN when y lies outside f(lo)..f(hi).
func solveRising(f func(float64) float64, y, lo, hi float64) float64 {
	flo, fhi := f(lo)-y, f(hi)-y
	switch {
	case math.IsNaN(flo) || math.IsNaN(fhi) || flo > 0 || fhi < 0:
		return math.NaN()
	case flo == 0:
		return lo
	case fhi == 0:
		return hi
	}
	for i := 0; i < 200; i++ {
		x := lo - flo*(hi-lo)/(fhi-flo)
		if i%3 == 2 || !(x > lo && x < hi) {
			x = lo + (hi-lo)/2
		}
		if x <= lo || x >= hi {
			break
		}
		switch fx := f(x) - y; {
		case fx == 0:
			return x
		case fx < 0:
			lo, flo = x, fx
		default:
			hi, fhi = x, fx
		}
	}
	if -flo < fhi {
		return lo
	}
	return hi
}
