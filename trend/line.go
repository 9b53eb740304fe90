package trend

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"
)

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

// Ruler is what a keeper sees who lays a ruler along the last readings: a straight line by least squares, with no model
// behind it. The engine is held to it: once the ruler has warned of the floor at two tests in a row, so does the flag.
type Ruler struct {
	N     int
	Slope float64 // per day
	Hi    float64 // upper end of the 95 % interval of the slope, Student's t
	Days  float64 // until the line is below the floor: 0 where it is there, +Inf where it never will be
}

// rulerReadings is how many readings the ruler is laid along; with fewer than rulerFewest there is none.
const (
	rulerReadings = 6
	rulerFewest   = 4
)

// RulerOf lays the ruler along the last six of obs, which are in time order. A reading "<" counts as half its limit.
// With fewer than four readings, or none at different times, its numbers are NaN.
//
// Reference: N. R. Draper, H. Smith, 1998, Applied Regression Analysis, 3rd edition, chapter 1.
func RulerOf(obs []Observation, floor float64) Ruler {
	obs = obs[max(len(obs)-rulerReadings, 0):]
	if len(obs) < rulerFewest {
		nan := math.NaN()
		return Ruler{len(obs), nan, nan, nan}
	}
	t, y, bound := columns(obs)
	for i, b := range bound {
		if b == Below {
			y[i] /= 2
		}
	}
	return rulerAlong(t, y, floor)
}

// rulerAlong lays the ruler along all that is given.
func rulerAlong(t, y []float64, floor float64) Ruler {
	line := FitLine(t, y)
	r := Ruler{line.N, line.Slope, line.Slope + studentAt(line.DF)*line.SlopeSE, math.NaN()}
	switch now := line.Intercept + line.Slope*t[len(t)-1]; {
	case math.IsNaN(r.Slope):
	case now < floor:
		r.Days = 0
	case r.Slope < 0:
		r.Days = (now - floor) / -r.Slope
	default:
		r.Days = math.Inf(1)
	}
	return r
}

// Warns says whether the readings fall, at 95 %, and meet the floor within alarmDays.
func (r Ruler) Warns() bool { return r.Hi < 0 && r.Days <= alarmDays }

// studentAt is the 97.5 % point of Student's t; kept, since its search costs more than all else of the ruler.
func studentAt(df int) float64 {
	t, ok := studentPoints.Load(df)
	if !ok {
		t, _ = studentPoints.LoadOrStore(df, distuv.StudentsT{Sigma: 1, Nu: float64(df)}.Quantile(0.975))
	}
	return t.(float64)
}

var studentPoints sync.Map // degrees of freedom -> point
