package study

import (
	"fmt"
	"io"

	"leadline/trend"
)

// JudgeSlides runs the engine over slides and tells, over those that keep says, how its warnings did; a nil keep
// takes all.
func JudgeSlides(slides []Slide, runs [][]said, keep func(s *Slide) bool) SlideScore {
	var c SlideScore
	for i := range slides {
		if keep == nil || keep(&slides[i]) {
			c.see(&slides[i], runs[i])
		}
	}
	return c
}

// OnSlides runs the detector over all slides.
func (d Detector) OnSlides(slides []Slide) [][]said {
	series := make([]Series, len(slides))
	for i := range slides {
		series[i] = slides[i].Series
	}
	return d.On(series)
}

// SlideTable writes the slides as a table: by shape, by shape and method; and by start and weeks where every is true.
func SlideTable(w io.Writer, slides []Slide, runs [][]said, every bool) {
	heading(w, "falls", "number", "80 % slope interval holds", "said / true", "lead, days", "ruler", "7 days ahead",
		"ruler",
		"flagged while flat", "ruler", "later than the ruler", "overruled", "floor within 28 days: said where it comes",
		"where not")
	row := func(name string, keep func(s *Slide) bool) {
		c := JudgeSlides(slides, runs, keep)
		of := func(k int) string { return percent(share(k, c.N)) }
		line(w, name, fmt.Sprint(c.N), percent(c.Slope.Share()), number(median(c.Ratio), 2), days(median(c.Leads)),
			days(median(c.Ruler)),
			of(c.Early), of(c.RulerEarly), of(c.Flat), of(c.RulerFlat), of(c.Later), of(c.Overruled),
			number(c.Comes.Value(), 2), number(c.Not.Value(), 2))
	}
	for _, straight := range [...]bool{true, false} {
		shape := "proportional"
		if straight {
			shape = "straight"
		}
		row(shape, func(s *Slide) bool { return s.Straight == straight })
		for _, m := range slideKits {
			row(shape+", "+m, func(s *Slide) bool { return s.Straight == straight && s.Method == m })
		}
		if !every {
			continue
		}
		for _, start := range slideStarts {
			for _, weeks := range slideWeeks {
				row(fmt.Sprintf("%s, from %g in %g weeks", shape, start, weeks),
					func(s *Slide) bool { return s.Straight == straight && s.Start == start && s.Weeks == weeks })
			}
		}
	}
	row("all", nil)
}

// Falling is the plainest fall of all: nitrate in mg/L, weekly, by a fine kit, with a floor of 1.
func Falling() Series {
	s := Series{Floor: 1, Settings: trend.Settings{Floor: 1, Low: 2, High: 15, Wobble: 0.10}}
	k, _ := slideKit("fine")
	for i, v := range [...]float64{9.6, 8.8, 7.7, 6.9, 5.9, 5.1, 4.0, 3.1, 2.2, 1.1} {
		s.Obs = append(s.Obs, k.report(float64(7*i), v))
	}
	return s
}

// FallingTable writes what the engine says at each of its readings.
func FallingTable(w io.Writer, engine Engine) {
	s := Falling()
	heading(w, "reading", "level", "slope a week", "direction", "flag", "ruler", "within 14", "28", "42 days", "10 %",
		"50 %", "90 %")
	warns := warned(&s)
	for i, a := range engine(s.Obs, nil, s.Settings) {
		span := func(x, lo, hi float64) string { return fmt.Sprintf("%.2f (%.2f to %.2f)", x, lo, hi) }
		line(w, fmt.Sprint(s.Obs[i].Value), span(a.Level, a.LevelLo, a.LevelHi), span(a.SlopePerWeek, a.SlopeLo, a.SlopeHi),
			a.Direction.String(), fmt.Sprint(a.BottomingOut), fmt.Sprint(warns[i]), number(a.PFloor14, 2), number(a.PFloor28, 2),
			number(a.PFloor42, 2), days(a.FloorP10), days(a.FloorP50), days(a.FloorP90))
	}
}
