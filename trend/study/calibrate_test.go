package study

import (
	"math"

	"leadline/trend"
)

// nearFloors is the true level, in floors, under which a tank counts as near the floor.
const nearFloors = 3

// Cover counts how often the truth was inside an interval.
type Cover struct{ N, Inside, Under, Over int }

// Share is the share inside.
func (c Cover) Share() float64 { return share(c.Inside, c.N) }

func (c *Cover) see(truth float64, iv interval) {
	if math.IsNaN(iv.lo) || math.IsNaN(iv.hi) {
		return
	}
	c.N++
	switch {
	case truth < iv.lo:
		c.Under++
	case truth > iv.hi:
		c.Over++
	default:
		c.Inside++
	}
}

// reach is one distance ahead: now, 7 or 14 days.
type reach struct {
	All, Near   Cover // at every reading, and where the true level is under nearFloors
	Undisturbed Cover // near, and nothing put in or changed on the way
}

// Bin is one row of a reliability table: forecasts in which about the same chance was said.
type Bin struct {
	N        int
	Said     float64 // sum of the chances
	Happened int
}

// binEdges are the limits between the rows of a reliability table.
var binEdges = [...]float64{0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1}

// Reliability is a table of chances said against what was seen.
type Reliability [len(binEdges) - 1]Bin

func (r *Reliability) see(said float64, happened bool) {
	if math.IsNaN(said) {
		return
	}
	for i := range r {
		if said <= binEdges[i+1] {
			r[i].N++
			r[i].Said += said
			if happened {
				r[i].Happened++
			}
			return
		}
	}
}

// Error is the mean distance between said and seen over the rows, each weighted by its forecasts.
func (r *Reliability) Error() float64 {
	n, sum := 0, 0.0
	for _, b := range r {
		n += b.N
		sum += math.Abs(b.Said - float64(b.Happened))
	}
	return sum / float64(n)
}

// Mean is a mean in the making.
type Mean struct {
	N   int
	Sum float64
}

func (m *Mean) see(x float64) {
	m.N++
	m.Sum += x
}

// Value is the mean; NaN of nothing.
func (m Mean) Value() float64 { return m.Sum / float64(m.N) }

// Calibration is how the engine's intervals and chances compare with the truth.
type Calibration struct {
	Now, Ahead7, Ahead14 reach
	Crps                 Mean // of the forecasts 7 days ahead near the floor, in floors
	CrpsUndisturbed      Mean // of those with nothing put in or changed on the way
	P14, P28, P42        Reliability
	DateEnds             DateEnds // of the 80 % floor-date range at the first alarm of each episode
	DateMisses           []float64
}

// DateEnds are the ends of floor-date ranges that can miss: a range that begins at once cannot be too late, and one
// with no end within the horizon cannot be too early. A tenth should miss at either end.
type DateEnds struct {
	Begin, Before int // ranges that begin later than at once; of these, the level was below the floor before
	End, After    int // ranges with an end; of these, it was not below the floor by then
}

func (d *DateEnds) see(wait, begin, end float64) {
	if begin > 0 {
		d.Begin++
		if wait < begin {
			d.Before++
		}
	}
	if !math.IsInf(end, 0) && !math.IsNaN(end) {
		d.End++
		if wait > end {
			d.After++
		}
	}
}

// Calibrate compares what was said at every reading with the truth.
func Calibrate(series []Series, runs [][]said) Calibration {
	var c Calibration
	for i := range series {
		s := &series[i]
		for j := range runs[i] {
			r, day := &runs[i][j], s.Obs[j].Day
			near := s.LevelAt(day) < nearFloors
			c.Now.see(s, day, 0, near, r.now)
			c.Ahead7.see(s, day, 7, near, r.ahead7)
			c.Ahead14.see(s, day, 14, near, r.ahead14)
			if near && day+7 <= s.Days && !math.IsNaN(r.ahead7.mean) {
				score := crps(r.ahead7, s.LevelAt(day+7))
				c.Crps.see(score)
				if !s.disturbed(day, day+7) {
					c.CrpsUndisturbed.see(score)
				}
			}
			c.seeChance(s, day, r)
		}
		c.seeDates(s, runs[i])
	}
	return c
}

func (r *reach) see(s *Series, day, days float64, near bool, iv interval) {
	if day+days > s.Days {
		return
	}
	truth := s.LevelAt(day + days)
	r.All.see(truth, iv)
	if near {
		r.Near.see(truth, iv)
		if !s.disturbed(day, day+days) {
			r.Undisturbed.see(truth, iv)
		}
	}
}

// disturbed says whether an input came after from, up to and with to.
func (s *Series) disturbed(from, to float64) bool {
	for _, in := range s.Inputs {
		if in.Day > from && in.Day <= to {
			return true
		}
	}
	return false
}

func (c *Calibration) seeChance(s *Series, day float64, r *said) {
	see := func(table *Reliability, chance, days float64) {
		if day+days <= s.Days {
			table.see(chance, s.isBelow(day) || s.Below(day, day+days))
		}
	}
	see(&c.P14, r.p14, 14)
	see(&c.P28, r.p28, 28)
	see(&c.P42, r.p42, 42)
}

// seeDates looks at the floor-date range at the first alarm of each episode. Where the level does not go below the
// floor within the horizon, the truth is "later". Episodes begun within a horizon of the end of the series are left
// out, whatever came, so that short waits are not favoured.
func (c *Calibration) seeDates(s *Series, run []said) {
	alarm := make([]bool, len(run))
	for j := range run {
		alarm[j] = run[j].alarm
	}
	for _, e := range episodes(alarm) {
		r, day := &run[e.First], s.Obs[e.First].Day
		if day+trend.Horizon > s.Days {
			continue
		}
		wait := s.nextBelow(day) - day
		if s.isBelow(day) {
			wait = 0
		}
		if wait > trend.Horizon {
			wait = math.Inf(1)
		}
		c.DateEnds.see(wait, r.p10, r.p90)
		if !math.IsInf(wait, 1) && !math.IsInf(r.p50, 0) && !math.IsNaN(r.p50) {
			c.DateMisses = append(c.DateMisses, math.Abs(r.p50-wait))
		}
	}
}
