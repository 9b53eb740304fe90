package study

import (
	"math"

	"leadline/trend"
)

// Engine assesses a series as-of each of its readings, as trend.Hindcast does.
type Engine func(obs []trend.Observation, in []trend.Input, set trend.Settings) []trend.Assessment

// said is the part of an assessment that the study looks at. Levels are in floors.
type said struct {
	now, ahead7, ahead14 interval
	slope                interval // per week
	p14, p28, p42        float64
	p10, p50, p90        float64 // floor dates, days after the reading
	score                float64 // what a detector is swept by: the higher, the more alarmed; -Inf: not at all
	alarm, bottomedOut   bool
	testAgain            bool
}

// interval is a mean with an 80 % interval; NaN where nothing was said.
type interval struct{ mean, lo, hi float64 }

// unsaid is what somebody says who knows nothing.
func unsaid() said {
	nan := math.NaN()
	no := interval{nan, nan, nan}
	return said{now: no, ahead7: no, ahead14: no, slope: no, p14: nan, p28: nan, p42: nan, p10: nan, p50: nan, p90: nan,
		score: math.Inf(-1)}
}

// hindcast runs the engine over the readings of a series.
func hindcast(engine Engine, s *Series, obs []trend.Observation) []said {
	var out []said
	for _, a := range engine(obs, s.Inputs, s.Settings) {
		out = append(out, pickOut(&a, s.Floor))
	}
	return out
}

func pickOut(a *trend.Assessment, floor float64) said {
	r := said{
		now:     interval{a.Level / floor, a.LevelLo / floor, a.LevelHi / floor},
		slope:   interval{a.SlopePerWeek / floor, a.SlopeLo / floor, a.SlopeHi / floor},
		ahead7:  forecastAt(a, 7, floor),
		ahead14: forecastAt(a, 14, floor),
		p14:     a.PFloor14, p28: a.PFloor28, p42: a.PFloor42,
		p10: a.FloorP10, p50: a.FloorP50, p90: a.FloorP90,
		score: a.PFloor42,
		alarm: a.BottomingOut, bottomedOut: a.BottomedOut, testAgain: a.TestAgain,
	}
	if math.IsNaN(r.score) {
		r.score = math.Inf(-1)
	}
	return r
}

func forecastAt(a *trend.Assessment, days, floor float64) interval {
	for _, f := range a.Forecast {
		if f.Days == days {
			return interval{f.Mean / floor, f.Lo / floor, f.Hi / floor}
		}
	}
	nan := math.NaN()
	return interval{nan, nan, nan}
}

// scoresOf are the scores of a detector.
func scoresOf(runs [][]said) [][]float64 {
	out := make([][]float64, len(runs))
	for i, run := range runs {
		for j := range run {
			out[i] = append(out[i], run[j].score)
		}
	}
	return out
}

// flagTallies judges the engine's own flag, series by series.
func flagTallies(series []Series, runs [][]said) []Tally {
	out := make([]Tally, len(series))
	for i := range series {
		alarm := make([]bool, len(runs[i]))
		for j := range alarm {
			alarm[j] = runs[i][j].alarm
		}
		out[i] = Judge(&series[i], alarm)
	}
	return out
}

// total adds up the tallies for which keep is true; a nil keep takes all.
func total(tallies []Tally, keep func(i int) bool) Tally {
	var t Tally
	for i := range tallies {
		if keep == nil || keep(i) {
			t.Add(tallies[i])
		}
	}
	return t
}

// Out is how the answer "bottomed out" did, reading by reading.
type Out struct {
	Said, Right  int // readings with the answer; of them, with the level below the floor
	Below, Known int // readings with the level below the floor; of them, with this answer or the alarm
}

func judgeOut(series []Series, runs [][]said) Out {
	var o Out
	for i := range series {
		for j, r := range runs[i] {
			below := series[i].isBelow(series[i].Obs[j].Day)
			if r.bottomedOut {
				o.Said++
				if below {
					o.Right++
				}
			}
			if below {
				o.Below++
				if r.bottomedOut || r.alarm {
					o.Known++
				}
			}
		}
	}
	return o
}

// Again is how the answer "test again now" did.
type Again struct {
	Years    float64
	Asked    int // spells of readings with the answer
	Right    int // of them, the level was below the floor, or went there within 14 days
	Sudden   int // sudden first crossings with a reading after them
	Answered int // of them, called or asked about between 14 days before and the first reading after
}

// judgeAgain looks at the answer "test again now", beside the alarm.
func judgeAgain(series []Series, runs [][]said) Again {
	var a Again
	for i := range series {
		s := &series[i]
		a.Years += s.Years()
		for j, r := range runs[i] {
			if day := s.Obs[j].Day; r.testAgain && (j == 0 || !runs[i][j-1].testAgain) && day+14 <= s.Days {
				a.Asked++
				if s.isBelow(day) || s.Below(day, day+14) {
					a.Right++
				}
			}
		}
		for _, c := range s.Crossings() {
			if !c.Sudden {
				continue
			}
			answered, seen := false, false
			for j, o := range s.Obs {
				if o.Day >= c.Day-14 && !seen {
					answered = answered || runs[i][j].testAgain || runs[i][j].alarm
					seen = o.Day >= c.Day
				}
			}
			if seen {
				a.Sudden++
				if answered {
					a.Answered++
				}
			}
		}
	}
	return a
}
