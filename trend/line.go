package trend

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Line is a straight line fitted by ordinary least squares, y = Intercept + Slope·t.
type Line struct {
	N           int
	Slope       float64 // unit of y per day; NaN without two different times
	SlopeSE     float64 // its standard error; NaN without a degree of freedom
	Intercept   float64 // at day 0; NaN without two different times, 0 for a line through zero
	InterceptSE float64 // NaN without a degree of freedom, 0 for a line through zero
	ResidualSD  float64 // √(RSS/DF), unit of y; NaN without a degree of freedom
	R2          float64 // share of the sum of squares explained: about the mean, or about zero for a line through zero
	RSS         float64 // residual sum of squares
	DF          int     // degrees of freedom left

	meanT, meanY, sxx float64
}

// FitLine fits a straight line by ordinary least squares.
//
//	Slope = Σ(t−t̄)(y−ȳ)/Sxx,  Sxx = Σ(t−t̄)²,  Intercept = ȳ − Slope·t̄
//	ResidualSD² = RSS/(n−2),  SlopeSE² = ResidualSD²/Sxx,  InterceptSE² = ResidualSD²·(1/n + t̄²/Sxx)
//
// It is for calibration lines and for comparison; for a course of readings with gross errors see TheilSen. t is in days, y in
// any unit, in any order; sums are taken about the means, so that epoch days lose nothing. FitLine panics unless
// len(t) == len(y) and all are finite. Without two different times the line is NaN.
//
// Reference: N. R. Draper, H. Smith, 1998, Applied Regression Analysis, 3rd edition, chapter 1.
func FitLine(t, y []float64) Line {
	checkPairs("FitLine", t, y)
	l := Line{N: len(t), DF: len(t) - 2, meanT: mean(t), meanY: mean(y)}
	var sxy, syy float64
	for i := range t {
		u, v := t[i]-l.meanT, y[i]-l.meanY
		l.sxx += u * u
		sxy += u * v
		syy += v * v
	}
	if l.sxx == 0 {
		return noLine(l)
	}
	l.Slope = sxy / l.sxx
	l.Intercept = l.meanY - l.Slope*l.meanT
	for i := range t {
		e := (y[i] - l.meanY) - l.Slope*(t[i]-l.meanT)
		l.RSS += e * e
	}
	l.spread(syy)
	l.InterceptSE = l.ResidualSD * math.Sqrt(1/float64(l.N)+l.meanT*l.meanT/l.sxx)
	return l
}

// FitLineThroughZero fits y = Slope·t, for a quantity that is nothing at t = 0, such as the answer of a method to standards.
//
//	Slope = Σty/Σt²,  ResidualSD² = RSS/(n−1),  SlopeSE² = ResidualSD²/Σt²
//
// It panics as FitLine does. Without a t other than 0 the line is NaN.
func FitLineThroughZero(t, y []float64) Line {
	checkPairs("FitLineThroughZero", t, y)
	l := Line{N: len(t), DF: len(t) - 1}
	var sxy, syy float64
	for i := range t {
		l.sxx += t[i] * t[i]
		sxy += t[i] * y[i]
		syy += y[i] * y[i]
	}
	if l.sxx == 0 {
		return noLine(l)
	}
	l.Slope = sxy / l.sxx
	for i := range t {
		e := y[i] - l.Slope*t[i]
		l.RSS += e * e
	}
	l.spread(syy)
	return l
}

func noLine(l Line) Line {
	nan := math.NaN()
	l.Slope, l.SlopeSE, l.Intercept, l.InterceptSE = nan, nan, nan, nan
	l.ResidualSD, l.R2, l.RSS = nan, nan, nan
	return l
}

// spread fills in what follows from RSS and the total sum of squares.
func (l *Line) spread(total float64) {
	l.R2 = 1 - l.RSS/total
	l.ResidualSD = math.NaN()
	if l.DF > 0 {
		l.ResidualSD = math.Sqrt(l.RSS / float64(l.DF))
	}
	l.SlopeSE = l.ResidualSD / math.Sqrt(l.sxx)
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

// Crossing is when a straight line reaches a target.
type Crossing struct {
	Day    float64 // may lie before the readings; NaN for a level line
	Lo, Hi float64 // interval of Day; NaN where it is not bounded
	Level  float64 // of the interval, 0..1
	Notes  []Note
}

// Crossing finds the day on which the line reaches the target, with Fieller's interval: all days on which the two-sided
// confidence band of the line (Student's t with n−2 degrees of freedom) holds the target.
//
// With u = t − t̄, d = ȳ − target, b the slope and q the t quantile, the days solve
//
//	(b² − q²·SlopeSE²)·u² + 2bd·u + d² − q²·ResidualSD²/n <= 0
//
// which is a bounded interval only where the slope differs from zero at this level; elsewhere the set is unbounded, Lo and Hi
// are NaN, and a note says so. The day is where the line goes on as it is: no forecast of the water, which dosing and demand
// bend. Crossing is for lines of FitLine, and panics unless 0 < level < 1 and the target is finite.
//
// Reference: E. C. Fieller, 1954, Some problems in interval estimation, Journal of the Royal Statistical Society B 16, 175–185.
func (l Line) Crossing(target, level float64) Crossing {
	checkLevels("Crossing", []float64{level})
	if math.IsNaN(target - target) {
		panic(fmt.Sprintf("trend: Crossing: target is %v", target))
	}
	nan := math.NaN()
	c := Crossing{Day: nan, Lo: nan, Hi: nan, Level: level}
	if math.IsNaN(l.Slope) || l.Slope == 0 {
		c.Notes = []Note{{"level-line", "the line is level or unknown: it crosses nothing"}}
		return c
	}
	d := l.meanY - target
	c.Day = l.meanT - d/l.Slope
	if l.DF < 1 {
		c.Notes = []Note{{"too-few", fmt.Sprintf("an interval needs 3 readings, has %d", l.N)}}
		return c
	}
	q := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(l.DF)}.Quantile(0.5 + level/2)
	slopeRoom, levelRoom := q*l.SlopeSE, q*l.ResidualSD/math.Sqrt(float64(l.N))
	square := (l.Slope - slopeRoom) * (l.Slope + slopeRoom)
	if square <= 0 {
		c.Notes = []Note{{"no-slope", fmt.Sprintf("the slope cannot be told from zero at %.0f %%: no range of days", 100*level)}}
		return c
	}
	// b²d² − square·(d² − levelRoom²), without the difference of two large numbers
	root := math.Sqrt(slopeRoom*slopeRoom*d*d + square*levelRoom*levelRoom)
	c.Lo = l.meanT + (-l.Slope*d-root)/square
	c.Hi = l.meanT + (-l.Slope*d+root)/square
	return c
}

// Crossing is the day on which a Theil–Sen line reaches the target, by each of its two intercepts; NaN for a level line.
func (m MedianSlope) Crossing(target float64) (medians, residuals float64) {
	if m.Slope == 0 {
		return math.NaN(), math.NaN()
	}
	return (target - m.InterceptMedians) / m.Slope, (target - m.InterceptResiduals) / m.Slope
}
