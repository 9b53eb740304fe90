package trend

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
)

// EWMARunLength is how many readings pass on average until an EWMA chart with its final limits calls, when the level lies
// shift standard deviations off the target from the first reading on; at shift 0, until it calls falsely.
//
//	L(u) = 1 + ∫_{−c}^{c} L(x)·φ((x − (1−λ)u)/λ − shift)/λ dx,  c = width·√(λ/(2−λ)), at u = 0
//
// solved at Gauss–Legendre points. EWMARunLength panics unless 0 < lambda <= 1, width > 0 and shift is finite.
//
// Reference: S. V. Crowder, 1987, A simple method for studying run-length distributions of exponentially weighted moving
// average charts, Technometrics 29, 401–407.
func EWMARunLength(lambda, width, shift float64) float64 {
	if !(lambda > 0 && lambda <= 1 && width > 0) || math.IsNaN(shift-shift) || math.IsInf(width, 0) {
		panic(fmt.Sprintf("trend: EWMARunLength: lambda %v, width %v, shift %v", lambda, width, shift))
	}
	c := width * math.Sqrt(lambda/(2-lambda))
	kernel := func(u, x float64) float64 { return normalPDF((x-(1-lambda)*u)/lambda-shift) / lambda }
	return runLength(-c, c, lambda, kernel, func(float64) float64 { return 0 })
}

// CUSUMRunLength is how many readings pass on average until a two-sided CUSUM chart, its sums starting from 0, calls; slack,
// line and shift in standard deviations of a reading. For each side
//
//	L(u) = 1 + L(0)·Φ(slack − shift − u) + ∫_0^line L(x)·φ(x − u + slack − shift) dx, at u = 0
//
// and 1/L = 1/L(up) + 1/L(down). CUSUMRunLength panics unless slack >= 0, line > 0 and shift is finite.
//
// Reference: E. S. Page, 1954, Biometrika 41, 100–115; K. W. Kemp, 1961, The average run length of the cumulative sum chart
// when a V-mask is used, Journal of the Royal Statistical Society B 23, 149–153.
func CUSUMRunLength(slack, line, shift float64) float64 {
	if !(slack >= 0 && line > 0) || math.IsNaN(shift-shift) || math.IsInf(slack+line, 0) {
		panic(fmt.Sprintf("trend: CUSUMRunLength: slack %v, line %v, shift %v", slack, line, shift))
	}
	oneSide := func(shift float64) float64 {
		kernel := func(u, x float64) float64 { return normalPDF(x - u + slack - shift) }
		return runLength(0, line, 1, kernel, func(u float64) float64 { return normalCDF(slack - shift - u) })
	}
	return 1 / (1/oneSide(shift) + 1/oneSide(-shift))
}

// runLength solves L(u) = 1 + L(0)·rest(u) + ∫ L(x)·kernel(u, x) dx over lo..hi for L(0). The kernel is about width wide, which
// says how many points are needed.
func runLength(lo, hi, width float64, kernel func(u, x float64) float64, rest func(u float64) float64) float64 {
	n := min(40+int(12*(hi-lo)/width), 600)
	x, w := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, w, lo, hi)
	x = append(x, 0) // the last unknown is L(0)
	a, one := mat.NewDense(n+1, n+1, nil), mat.NewVecDense(n+1, nil)
	for i, u := range x {
		one.SetVec(i, 1)
		for j := range n {
			a.Set(i, j, -w[j]*kernel(u, x[j]))
		}
		a.Set(i, n, -rest(u))
		a.Set(i, i, a.At(i, i)+1)
	}
	var l mat.VecDense
	if err := l.SolveVec(a, one); err != nil {
		return math.Inf(1) // so seldom a call that the equations are singular in floating point
	}
	return l.AtVec(n)
}
