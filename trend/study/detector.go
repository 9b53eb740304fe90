package study

import (
	"math"
	"slices"

	"leadline/trend"
)

// Detector says how alarmed a rule is as-of each reading of a series: the higher, the more. -Inf is no alarm at all.
type Detector struct {
	Name  string
	Score func(s *Series) []float64
}

// Rules are the detectors that the engine is compared with, the simplest first.
func Rules() []Detector {
	return []Detector{
		{"last reading near the floor", lastReading},
		{"straight line through the last four", func(s *Series) []float64 { return eachReading(s, 4, lineDays) }},
		{"straight line through the last six", func(s *Series) []float64 { return eachReading(s, 6, lineDays) }},
		{"Theil–Sen over eight with Mann–Kendall", func(s *Series) []float64 { return eachReading(s, 8, theilSenDays) }},
		{localTrendName, localTrend},
	}
}

// lastReading is alarmed by a low reading: minus the reading in floors.
func lastReading(s *Series) []float64 {
	out := make([]float64, len(s.Obs))
	for i, o := range s.Obs {
		out[i] = -plain(o) / s.Floor
	}
	return out
}

// plain is the number that a plain rule takes for a reading: half the limit for a "<".
func plain(o trend.Observation) float64 {
	if o.Bound == trend.Below {
		return o.Value / 2
	}
	return o.Value
}

// eachReading applies a rule to the last n readings as-of each reading; before there are n, to those there are, but no
// fewer than four.
func eachReading(s *Series, n int, rule func(t, y []float64) float64) []float64 {
	out := make([]float64, len(s.Obs))
	var t, y []float64
	for i, o := range s.Obs {
		t, y = append(t, o.Day), append(y, plain(o)/s.Floor)
		if len(t) > n {
			t, y = t[1:], y[1:]
		}
		out[i] = math.Inf(-1)
		if len(t) >= 4 {
			out[i] = rule(t, y)
		}
	}
	return out
}

// lineDays is minus the days until the least-squares line is below one.
func lineDays(t, y []float64) float64 {
	n := float64(len(t))
	var st, sy, stt, sty float64
	for i := range t {
		st += t[i]
		sy += y[i]
	}
	for i := range t {
		stt += (t[i] - st/n) * (t[i] - st/n)
		sty += (t[i] - st/n) * (y[i] - sy/n)
	}
	slope := sty / stt
	return minusDays(sy/n+slope*(t[len(t)-1]-st/n), slope)
}

// minusDays is minus the days until a line at level now is below one; when it is already, how far; -Inf when it never will be.
func minusDays(level, slope float64) float64 {
	switch {
	case level < 1:
		return 1 - level
	case slope < 0:
		return -(level - 1) / -slope
	default:
		return math.Inf(-1)
	}
}

// kendallChance is the one-sided chance that the Mann–Kendall part of the rule asks for.
const kendallChance = 0.10

// theilSenDays is minus the days until the Theil–Sen line is below one, for a fall that Mann–Kendall finds.
func theilSenDays(t, y []float64) float64 {
	var slopes []float64
	s := 0.0
	for i := range t {
		for j := range i {
			if t[i] > t[j] {
				slopes = append(slopes, (y[i]-y[j])/(t[i]-t[j]))
			}
			s += sign(y[i] - y[j])
		}
	}
	if !(normalBelow((s+1)/math.Sqrt(kendallVariance(y))) <= kendallChance) {
		return math.Inf(-1)
	}
	slope := median(slopes)
	rest := make([]float64, len(t))
	for i := range t {
		rest[i] = y[i] - slope*(t[i]-t[len(t)-1])
	}
	return minusDays(median(rest), slope)
}

// kendallVariance is the variance of Kendall's S under no trend, with ties in y.
func kendallVariance(y []float64) float64 {
	z := slices.Clone(y)
	slices.Sort(z)
	term := func(n float64) float64 { return n * (n - 1) * (2*n + 5) }
	v := term(float64(len(z)))
	for i := 0; i < len(z); {
		j := i
		for j < len(z) && z[j] == z[i] {
			j++
		}
		v -= term(float64(j - i))
		i = j
	}
	return v / 18
}

func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// normalBelow is the standard normal distribution function.
func normalBelow(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
