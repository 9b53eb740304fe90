package study

import (
	"flag"
	"os"
	"slices"
	"testing"

	"leadline/trend"
)

var slideCount = flag.Int("slides", 1920,
	"how many slides the full study judges, rounded to whole rounds of their combinations")

// TestSlides prints, with -v, how the warnings do where a level stands and then falls. It runs only when asked.
func TestSlides(t *testing.T) {
	if !*full {
		t.Skip("a study of some minutes; run it with -study")
	}
	FallingTable(os.Stdout, trend.Hindcast)
	slides := Slides(*seed, max(1, *slideCount/slideCells))
	SlideTable(os.Stdout, slides, EngineDetector(trend.Hindcast, false).OnSlides(slides), true)
}

// A share of the slides for every run, by a kit that sees them plainly.
func TestSmallSlides(t *testing.T) {
	slides := slices.DeleteFunc(Slides(17, 1), func(s Slide) bool { return s.Method != "photometer" })
	runs := EngineDetector(trend.Hindcast, false).OnSlides(slides)
	c := JudgeSlides(slides, runs, nil)
	t.Logf("%d slides: slope held %.2f, lead %.0f days, ruler %.0f, early %d, flat %d", c.N, c.Slope.Share(),
		median(c.Leads), median(c.Ruler), c.Early, c.Flat)
	if held := c.Slope.Share(); held < 0.65 || held > 0.95 {
		t.Errorf("80 %% intervals of the slope hold it in %.2f", held)
	}
	straight := JudgeSlides(slides, runs, func(s *Slide) bool { return s.Straight })
	if r := median(straight.Ratio); r < 0.9 || r > 1.1 {
		t.Errorf("of a straight fall %.2f of the true slope is said", r)
	}
	if share(c.Early, c.N) < 0.85 || share(c.Flat, c.N) > 0.05 || median(c.Leads) < 0.5*median(c.Ruler) {
		t.Errorf("of %d slides %d were flagged 7 days ahead, %d while flat; lead %.0f days, ruler %.0f", c.N, c.Early, c.Flat,
			median(c.Leads), median(c.Ruler))
	}
}

// Once the ruler has warned at two tests in a row the flag is up at the next, whatever the model believes: on no slide
// is it down there.
func TestTheRulerIsHeard(t *testing.T) {
	slides := slices.DeleteFunc(Slides(23, 1), func(s Slide) bool {
		return s.Method == "photometer" || testing.Short() && s.Method != "fine"
	})
	if c := JudgeSlides(slides, EngineDetector(trend.Hindcast, false).OnSlides(slides), nil); c.Overruled > 0 {
		t.Errorf("on %d of %d slides the flag is down though the ruler warned at the two tests before", c.Overruled, c.N)
	}
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
