package study

import (
	"flag"
	"os"
	"testing"

	"leadline/trend"
)

var slideCount = flag.Int("slides", 1920, "how many slides the full study judges, rounded to whole rounds of their combinations")

// TestSlides prints, with -v, how the warnings do where a level stands and then falls. It runs only when asked.
func TestSlides(t *testing.T) {
	if !*full {
		t.Skip("a study of some minutes; run it with -study")
	}
	FallingTable(os.Stdout, trend.Hindcast)
	slides := Slides(*seed, max(1, *slideCount/slideCells))
	SlideTable(os.Stdout, slides, HindcastSlides(trend.Hindcast, slides), true)
}

// Somebody who knows the course covers every slope, is never late, and says only 0 and 1.
func TestTheTruthScoresFullMarksOnSlides(t *testing.T) {
	slides := Slides(3, 1)
	runs := make([][]said, len(slides))
	for i := range slides {
		s := &slides[i]
		for _, o := range s.Obs {
			_, slope := s.course(o.Day)
			r := said{slope: interval{slope, slope, slope}, alarm: o.Day >= s.Onset && o.Day+falseDays >= s.Reach}
			if o.Day+28 >= s.Reach {
				r.p28 = 1
			}
			runs[i] = append(runs[i], r)
		}
	}
	c := JudgeSlides(slides, runs, nil)
	if c.N != slideCells || c.Slope.N == 0 || c.Slope.Share() != 1 || median(c.Ratio) != 1 || c.Flat != 0 {
		t.Errorf("%d slides, slope %+v, ratio %v, %d flat", c.N, c.Slope, median(c.Ratio), c.Flat)
	}
	if c.Comes.Value() != 1 || c.Not.Value() != 0 || c.Early != c.N {
		t.Errorf("chances %v and %v, %d early of %d", c.Comes.Value(), c.Not.Value(), c.Early, c.N)
	}
}
