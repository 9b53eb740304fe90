package study

import (
	"math"
	"slices"
)

const (
	falseDays  = 42 // an alarm with no crossing within so many days is false
	callDays   = 60 // an episode begun earlier than this before a crossing did not call it
	earlyDays  = 7  // called so many days before, there is time to act
	quietReads = 2  // so many readings without alarm end an episode
)

// Episode is a stretch of readings with an alarm. It ends at the second reading in a row without one.
type Episode struct {
	First, Last int // first and last reading with an alarm
}

// episodes groups alarms, one per reading.
func episodes(alarm []bool) []Episode {
	var out []Episode
	quiet := quietReads
	for i, on := range alarm {
		switch {
		case !on:
			quiet++
		case quiet >= quietReads:
			out = append(out, Episode{i, i})
			quiet = 0
		default:
			out[len(out)-1].Last = i
			quiet = 0
		}
	}
	return out
}

// Tally is what came of the alarms over one or more series.
type Tally struct {
	Years    float64
	Episodes int
	// False is how many episodes began with the level above the floor and no crossing in the next 42 days. An episode
	// begun while the level is below the floor already is late, not false. Too near the end of the series to tell:
	// not counted.
	False int
	// FalseHeld counts a false one again for every further 42 days that it stays on.
	FalseHeld int

	Gradual, Sudden Calls
	Leads           []float64 // days between the call and the crossing, for those called
}

// Calls is what became of first crossings of one sort.
type Calls struct {
	Crossings int
	Called    int // an episode began within 60 days before
	Early     int // 7 or more days before
	InTime    int // called, or an episode began no later than the first reading after the crossing
}

func (c *Calls) add(d Calls) {
	c.Crossings += d.Crossings
	c.Called += d.Called
	c.Early += d.Early
	c.InTime += d.InTime
}

// All is gradual and sudden crossings together.
func (t *Tally) All() Calls {
	c := t.Gradual
	c.add(t.Sudden)
	return c
}

// Add puts another tally to this one.
func (t *Tally) Add(u Tally) {
	t.Years += u.Years
	t.Episodes += u.Episodes
	t.False += u.False
	t.FalseHeld += u.FalseHeld
	t.Gradual.add(u.Gradual)
	t.Sudden.add(u.Sudden)
	t.Leads = append(t.Leads, u.Leads...)
}

// FalsePerYear is false alarms per series-year.
func (t *Tally) FalsePerYear() float64 { return float64(t.False) / t.Years }

// HeldPerYear is the same with an alarm that stays on counted again every 42 days.
func (t *Tally) HeldPerYear() float64 { return float64(t.FalseHeld) / t.Years }

// MedianLead is the median number of days between the call and the crossing, over the crossings called; NaN for none.
func (t *Tally) MedianLead() float64 { return median(t.Leads) }

// Recall is the share of first crossings called before they came.
func (c Calls) Recall() float64 { return share(c.Called, c.Crossings) }

// EarlyRecall is the share called 7 or more days before.
func (c Calls) EarlyRecall() float64 { return share(c.Early, c.Crossings) }

// InTimeShare is the share called no later than the first reading after the crossing.
func (c Calls) InTimeShare() float64 { return share(c.InTime, c.Crossings) }

func share(k, n int) float64 {
	if n == 0 {
		return math.NaN()
	}
	return float64(k) / float64(n)
}

// Judge compares the alarms, one per reading of the series, with what came.
func Judge(s *Series, alarm []bool) Tally { return judge(s, s.Crossings(), alarm) }

func judge(s *Series, crossings []Crossing, alarm []bool) Tally {
	t := Tally{Years: s.Years()}
	eps := episodes(alarm)
	t.Episodes = len(eps)
	for _, e := range eps {
		begin, last := s.Obs[e.First].Day, s.Obs[e.Last].Day
		if s.falseAlarm(begin) {
			t.False++
		}
		for day := begin; day <= last; day += falseDays {
			if s.falseAlarm(day) {
				t.FalseHeld++
			}
		}
	}
	for _, c := range crossings {
		calls := &t.Gradual
		if c.Sudden {
			calls = &t.Sudden
		}
		lead, inTime := s.called(c, eps)
		calls.Crossings++
		if inTime {
			calls.InTime++
		}
		if lead > 0 {
			calls.Called++
			t.Leads = append(t.Leads, lead)
		}
		if lead >= earlyDays {
			calls.Early++
		}
	}
	return t
}

// falseAlarm says whether an alarm on the day is false.
func (s *Series) falseAlarm(day float64) bool {
	return day+falseDays <= s.Days && !s.isBelow(day) && !s.Below(day, day+falseDays)
}

// called finds the earliest episode begun within 60 days before the crossing: the lead is how many days before, 0 for
// none. inTime says whether one began by the first reading at or after the crossing.
func (s *Series) called(c Crossing, eps []Episode) (lead float64, inTime bool) {
	after := math.Inf(1)
	for _, o := range s.Obs {
		if o.Day >= c.Day {
			after = o.Day
			break
		}
	}
	for _, e := range eps {
		begin := s.Obs[e.First].Day
		if begin < c.Day-callDays || begin > after {
			continue
		}
		inTime = true
		lead = math.Max(lead, c.Day-begin)
	}
	return lead, inTime
}

// median of the values; NaN for none.
func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	y := slices.Clone(x)
	slices.Sort(y)
	n := len(y)
	return (y[(n-1)/2] + y[n/2]) / 2
}
