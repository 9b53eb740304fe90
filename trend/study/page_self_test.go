package study

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"leadline/trend"
)

// mute is an engine that never knows anything.
func mute(obs []trend.Observation, _ []trend.Input, set trend.Settings) []trend.Assessment {
	out := make([]trend.Assessment, len(obs))
	nan := math.NaN()
	for i := range out {
		out[i] = trend.Assessment{AsOf: obs[i].Day, Level: nan, LevelLo: nan, LevelHi: nan, Floor: set.Floor,
			PFloor14: nan, PFloor28: nan, PFloor42: nan, FloorP10: nan, FloorP50: nan, FloorP90: nan}
	}
	return out
}

// everything is a result with all its sections.
func everything(engine Engine, seed uint64, n int) Result {
	res := Run(engine, seed, n)
	res.Everywhere = RunWorlds([]Detector{EngineDetector(engine, false)}, seed, n)
	res.RunSlides(engine, 1)
	return res
}

// A page about an engine that says nothing has dashes in it, not numbers that are none.
func TestPageOfAMuteEngine(t *testing.T) {
	var page, again bytes.Buffer
	res := everything(mute, 4, 3)
	if err := res.Page(&page, "the command"); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(page.String(), "NaN") || strings.Contains(page.String(), "Inf") {
		t.Errorf("the page shows numbers that are none:\n%s", page.String())
	}
	if res.Flag.Episodes != 0 || res.Flag.All().Called != 0 || res.Flag.All().Crossings != res.Crossings {
		t.Errorf("a mute engine has tally %+v, crossings %d", res.Flag, res.Crossings)
	}
	res = everything(mute, 4, 3)
	if err := res.Page(&again, "the command"); err != nil {
		t.Fatal(err)
	}
	if page.String() != again.String() {
		t.Error("the same seed gives two different pages")
	}
}

// Somebody who knows the truth covers everything, says only 0 and 1, and calls every crossing that a reading precedes.
func TestTheTruthScoresFullMarks(t *testing.T) {
	series := Simulate(4, 40)
	runs := make([][]said, len(series))
	for i := range series {
		s := &series[i]
		for _, o := range s.Obs {
			within := func(days float64) float64 {
				if s.isBelow(o.Day) || s.Below(o.Day, o.Day+days) {
					return 1
				}
				return 0
			}
			exact := func(days float64) interval {
				x := s.LevelAt(o.Day + days)
				return interval{x, x, x}
			}
			wait := s.nextBelow(o.Day) - o.Day
			if s.isBelow(o.Day) {
				wait = 0
			}
			if wait > trend.Horizon {
				wait = math.Inf(1)
			}
			runs[i] = append(runs[i], said{now: exact(0), ahead7: exact(7), ahead14: exact(14), p14: within(14),
				p28: within(28), p42: within(42), p10: wait, p50: wait, p90: wait, alarm: within(42) == 1})
		}
	}
	c := Calibrate(series, runs)
	for _, cover := range []Cover{c.Now.All, c.Now.Near, c.Ahead7.All, c.Ahead14.Near} {
		if cover.N == 0 || cover.Inside != cover.N {
			t.Errorf("cover %+v", cover)
		}
	}
	if e := c.DateEnds; e.Begin == 0 || e.End == 0 || e.Before+e.After != 0 {
		t.Errorf("floor dates %+v", e)
	}
	if !(c.Crps.Value() < 1e-12) || c.P14.Error() != 0 || c.P42.Error() != 0 || median(c.DateMisses) != 0 {
		t.Errorf("crps %v, reliability %v and %v, dates %v", c.Crps.Value(), c.P14.Error(), c.P42.Error(),
			median(c.DateMisses))
	}
	flag := total(flagTallies(series, runs), nil)
	if flag.False != 0 {
		t.Errorf("%d false alarms", flag.False)
	}
	if r := flag.All().Recall(); r < 0.9 { // an alarm that stays on from an earlier dip may begin too early to count
		t.Errorf("recall %.2f of %d", r, flag.All().Crossings)
	}
}
