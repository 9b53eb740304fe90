package trend

import "math"

// Line is a straight line fitted by ordinary least squares, y = Intercept + Slope·t.
type Line struct {
	N          int
	Slope      float64 // unit of y per day; NaN without two different times
	SlopeSE    float64 // its standard error; NaN without a degree of freedom
	Intercept  float64 // at day 0; NaN without two different times
	ResidualSD float64 // √(RSS/DF), unit of y; NaN without a degree of freedom
	RSS        float64 // residual sum of squares
	DF         int     // degrees of freedom left
}

// FitLine fits a straight line by ordinary least squares.
//
//	Slope = Σ(t−t̄)(y−ȳ)/Sxx,  Sxx = Σ(t−t̄)²,  Intercept = ȳ − Slope·t̄
//	ResidualSD² = RSS/(n−2),  SlopeSE² = ResidualSD²/Sxx
//
// For a course of readings with gross errors see RankTrend. t is in days, y in
// any unit, in any order; sums are taken about the means, so that epoch days lose nothing. FitLine panics unless
// len(t) == len(y) and all are finite. Without two different times the line is NaN.
//
// Reference: N. R. Draper, H. Smith, 1998, Applied Regression Analysis, 3rd edition, chapter 1.
func FitLine(t, y []float64) Line {
	checkPairs("FitLine", t, y)
	l := Line{N: len(t), DF: len(t) - 2}
	meanT, meanY := mean(t), mean(y)
	var sxx, sxy float64 // about the means
	for i := range t {
		u, v := t[i]-meanT, y[i]-meanY
		sxx += u * u
		sxy += u * v
	}
	l.Slope = sxy / sxx
	l.Intercept = meanY - l.Slope*meanT
	for i := range t {
		e := (y[i] - meanY) - l.Slope*(t[i]-meanT)
		l.RSS += e * e
	}
	l.ResidualSD = math.NaN()
	if l.DF > 0 {
		l.ResidualSD = math.Sqrt(l.RSS / float64(l.DF))
	}
	l.SlopeSE = l.ResidualSD / math.Sqrt(sxx)
	return l
}

func mean(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	sum := 0.0
	for _, x := range v {
		sum += x - v[0]
	}
	return v[0] + sum/float64(len(v))
}
