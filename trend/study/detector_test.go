package study

import (
	"math"

	"leadline/trend"
)

// Detector is what looks at a series as-of each reading, and says how alarmed it is, and of the level what it can.
type Detector struct {
	Name string
	Say  func(s *Series) []said
}

// Names that the tables single out.
const (
	rulerName      = "ruler: the same, if its slope is significant"
	localTrendName = "local linear trend on the logarithm"
	switchingName  = "switching filter"
	ownName        = "leadline"
)

// Rules are the detectors that the engine is compared with, the simplest first.
func Rules() []Detector {
	return []Detector{
		{"last reading near the floor", scored(lastReading)},
		{"straight line through the last six", scored(func(s *Series) []float64 { return eachReading(s, 6, lineDays) })},
		{rulerName, scored(ruler)},
		{"Theil–Sen over eight with Mann–Kendall",
			scored(func(s *Series) []float64 { return eachReading(s, 8, theilSenDays) })},
		{localTrendName, localTrend},
		{switchingName, switching},
	}
}

// rivals are the rules that stand beside the engine in every world.
func rivals() []Detector {
	all := Rules()
	return []Detector{all[2], all[4], all[5]}
}

// EngineDetector is the product's engine; undescribed says that it sees the readings without a described method.
func EngineDetector(engine Engine, undescribed bool) Detector {
	d := Detector{ownName, func(s *Series) []said { return hindcast(engine, s, s.Obs) }}
	if undescribed {
		d = Detector{"leadline, no method described", func(s *Series) []said { return hindcast(engine, s, s.Generic) }}
	}
	return d
}

// On runs the detector over all series.
func (d Detector) On(series []Series) [][]said {
	out := make([][]said, len(series))
	eachSeries(len(series), func(i int) { out[i] = d.Say(&series[i]) })
	return out
}

// scored makes what a detector says of a bare score.
func scored(score func(s *Series) []float64) func(s *Series) []said {
	return func(s *Series) []said {
		out := make([]said, len(s.Obs))
		for i, x := range score(s) {
			out[i] = unsaid()
			out[i].score = x
		}
		return out
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

// ruler is minus the days until the product's ruler is below the floor; no alarm unless its slope falls at 95 %.
func ruler(s *Series) []float64 {
	out := make([]float64, len(s.Obs))
	for i := range out {
		if r := trend.RulerOf(s.Obs[:i+1], s.Floor); r.Hi < 0 {
			out[i] = -r.Days
		} else {
			out[i] = math.Inf(-1)
		}
	}
	return out
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
	l := trend.FitLine(t, y)
	return minusDays(l.Intercept+l.Slope*t[len(t)-1], l.Slope)
}

// minusDays is minus the days until a line at level now is below one; when it is already, how far; -Inf when it never
// will be.
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
	m, k := trend.RankTrend(t, y)
	if !(normalBelow(float64(k.S+1)/math.Sqrt(k.VarSYTies)) <= kendallChance) {
		return math.Inf(-1)
	}
	now := make([]float64, len(y)) // what each reading says of the last day
	for i := range y {
		now[i] = y[i] + m.Slope*(t[len(t)-1]-t[i])
	}
	return minusDays(median(now), m.Slope)
}

// normalBelow is the standard normal distribution function.
func normalBelow(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
