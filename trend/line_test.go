package trend

import (
	"fmt"
	"math"
	"testing"
)

type strdCase struct {
	ID        string
	Intercept bool
	Y         []float64
	X         [][]float64
	Certified *strdValues
	Exact     strdValues `json:"exact_rational"`
}

type strdValues struct {
	Estimate, SD []float64
	ResidualSD   float64 `json:"resid_sd"`
	R2           float64 `json:"r_squared"`
	RSS          float64
}

// NIST Statistical Reference Datasets: certified to 15 digits, which are met to 1e-13.
func TestLineOnNISTData(t *testing.T) {
	for _, c := range reference[strdCase](t, "nist_strd.json") {
		if !c.Intercept { // lines through zero have no place here
			continue
		}
		t.Run(c.ID, func(t *testing.T) {
			if len(c.X[0]) > 1 {
				checkSeveral(t, c)
				return
			}
			x := make([]float64, len(c.X))
			for i, row := range c.X {
				x[i] = row[0]
			}
			want := c.Exact
			if c.Certified != nil {
				want = *c.Certified
			}
			l := FitLine(x, c.Y)
			checkLine(t, l, want)
			check(t, "intercept", l.Intercept, want.Estimate[0], 1e-12, 0) // −0.26 out of 430 less 430
			check(t, "slope", l.Slope, want.Estimate[1], 1e-13, 0)
			check(t, "slope se", l.SlopeSE, want.SD[1], 1e-13, 0)
		})
	}
}

// A regression on several variables is a chain of lines: the coefficient of a variable is the slope on what is left of
// it when the lines on all others are taken out (Hastie, Tibshirani, Friedman, 2009, The Elements of Statistical
// Learning, algorithm 3.1: regression by successive orthogonalization). Longley's variables lie so near to one plane
// that nine digits go into it; so this tries the lines hard.
func checkSeveral(t *testing.T, c strdCase) {
	t.Helper()
	k := len(c.X[0])
	columns := make([][]float64, k)
	for j := range columns {
		for _, row := range c.X {
			columns[j] = append(columns[j], row[j])
		}
	}
	intercept := mean(c.Y)
	for last := range k {
		var apart [][]float64 // the other variables, each without what lies along those before it
		y := c.Y
		for j := range k {
			if j != last {
				z := without(columns[j], apart)
				apart = append(apart, z)
				y = residuals(z, y)
			}
		}
		own := without(columns[last], apart)
		l := FitLine(own, y)
		check(t, fmt.Sprintf("coefficient %d", last+1), l.Slope, c.Certified.Estimate[last+1], 1e-9, 0)
		check(t, "RSS", l.RSS, c.Certified.RSS, 1e-9, 0)
		// the line counts two parameters; the others were taken out before
		sd := math.Sqrt(l.RSS / float64(l.N-k-1))
		check(t, "residual sd", sd, c.Certified.ResidualSD, 1e-9, 0)
		check(t, "its sd", l.SlopeSE*sd/l.ResidualSD, c.Certified.SD[last+1], 1e-9, 0)
		intercept -= l.Slope * mean(columns[last])
	}
	check(t, "intercept", intercept, c.Certified.Estimate[0], 1e-9, 0)
}

// without is x less what lies along each of others, which are apart from each other.
func without(x []float64, others [][]float64) []float64 {
	for range 2 { // the second time takes out what rounding left
		for _, z := range others {
			x = residuals(z, x)
		}
	}
	return x
}

// residuals are those of the line of y on x.
func residuals(x, y []float64) []float64 {
	l := FitLine(x, y)
	out := make([]float64, len(y))
	for i := range y {
		out[i] = y[i] - l.Intercept - l.Slope*x[i]
	}
	return out
}

func checkLine(t *testing.T, l Line, want strdValues) {
	t.Helper()
	check(t, "residual sd", l.ResidualSD, want.ResidualSD, 1e-13, 0)
	check(t, "RSS", l.RSS, want.RSS, 1e-13, 0)
}

// The least-squares lines of theil_sen.json (scipy linregress and R lm). The first case is an exact line: its residuals
// are rounding, 1e-12 of y.
func TestLineReference(t *testing.T) {
	type ols struct {
		ID       string
		T, Y     []float64
		Expected struct {
			OLS struct {
				Slope, Intercept float64
				SlopeSE          float64 `json:"slope_se"`
				ResidualSD       float64 `json:"resid_sd"`
			}
		}
	}
	for _, c := range reference[ols](t, "theil_sen.json") {
		t.Run(c.ID, func(t *testing.T) {
			l, want, abs := FitLine(c.T, c.Y), c.Expected.OLS, 1e-12*size(c.Y)
			check(t, "slope", l.Slope, want.Slope, 1e-9, abs)
			check(t, "intercept", l.Intercept, want.Intercept, 1e-9, abs)
			check(t, "slope se", l.SlopeSE, want.SlopeSE, 1e-9, abs)
			check(t, "residual sd", l.ResidualSD, want.ResidualSD, 1e-9, abs)
		})
	}
}

// Made with scipy and R. The ruler's days to the target, to 1e-9 relative and 1e-9 of the time span; of a line that
// rises to it none.
func TestRulerReference(t *testing.T) {
	type crossing struct {
		ID       string
		T, Y     []float64
		Target   float64
		Expected struct {
			AfterLast float64 `json:"ols_crossing_days_after_last"`
		}
	}
	for _, c := range reference[crossing](t, "zero_crossing.json") {
		t.Run(c.ID, func(t *testing.T) {
			r, want := rulerAlong(c.T, c.Y, c.Target), c.Expected.AfterLast
			switch last := c.T[len(c.T)-1]; {
			case r.Slope >= 0:
				want = math.Inf(1)
			case want < 0:
				want = 0
			default:
				check(t, "days", r.Days, want, 1e-9, 1e-9*(last-c.T[0]))
				return
			}
			if r.Days != want {
				t.Errorf("%v days, want %v", r.Days, want)
			}
		})
	}
}

func TestLineOfTooFew(t *testing.T) {
	for n := range 3 {
		at := []float64{3, 4}[:n]
		l := FitLine(at, at)
		if n < 2 && !math.IsNaN(l.Slope) || n == 2 && l.Slope != 1 || !math.IsNaN(l.SlopeSE) {
			t.Errorf("%d readings: %+v", n, l)
		}
	}
	mustPanic(t, "trend: FitLine", func() { FitLine([]float64{1}, nil) })
}
