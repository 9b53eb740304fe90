package alerts

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
)

// Changed is a tank on both sides of a moment: what moved in the water, and what was seen and done around it.
type Changed struct {
	Tank       logbook.Tank
	Around     time.Time
	Days       float64 // looked at on each side
	Parameters []ParameterChange
	Breaks     []Break         // of the parameters whose level left what it had been, the largest share first
	Done       []logbook.Entry // everything but readings and acknowledgements, in time order
	Known      words.Known     // by which Done is put into words
}

// ParameterChange is one parameter on both sides of a moment.
type ParameterChange struct {
	Parameter logbook.Parameter
	// median reading of the earlierSides before Before, canonical unit; NaN without readings
	Earlier       float64
	Before, After float64          // likewise of each side
	Comparison    trend.Comparison // shift from before to after with its 80 % interval
	Move          trend.Move       // of the level, in all this time
	Thinned       bool             // the log is dense: one reading a day is compared
}

// earlierSides is how many times as far back as a side a break is looked for: what shows after a date has often begun
// before.
const earlierSides = 3

// compareLevel is the confidence of a shift's interval, as of every interval on the screens.
const compareLevel = 0.8

// DoneKinds are the kinds of entries that were seen or done, as against tested or answered.
func DoneKinds() []logbook.Kind {
	return slices.DeleteFunc(logbook.EntryKinds(), func(k logbook.Kind) bool {
		return k == logbook.KindReading || k == logbook.KindAcknowledgement
	})
}

// Entries reads those of some kinds in a stretch of time, in time order.
func Entries(v *logbook.View, tank string, kinds []logbook.Kind, from, to time.Time) (all []logbook.Entry, err error) {
	for _, kind := range kinds {
		es, err := v.Entries(tank, kind, from, to)
		if err != nil {
			return nil, err
		}
		all = append(all, es...)
	}
	slices.SortStableFunc(all, func(a, b logbook.Entry) int { return a.When().Compare(b.When()) })
	return all, nil
}

// WhatChanged compares the readings of every parameter in so many days before a moment with those in as many days from
// it on, looks for breaks of the level in that time and in the time before, and collects what was done in it.
func WhatChanged(v *logbook.View, tank string, around time.Time, days float64) (Changed, error) {
	t, err := v.Tank(tank)
	if err != nil {
		return Changed{}, err
	}
	side := time.Duration(days * dayNanos)
	earliest, from, to := around.Add(-(1+earlierSides)*side), around.Add(-side), around.Add(side)
	out := Changed{Tank: t, Around: around, Days: days}
	ps, err := ParametersOf(v, t)
	if err != nil {
		return Changed{}, err
	}
	if out.Known, err = words.Know(v, t.Name); err != nil {
		return Changed{}, err
	}
	done, err := Entries(v, t.Name, DoneKinds(), earliest, to)
	if err != nil {
		return Changed{}, err
	}
	first := 0
	for first < len(done) && done[first].When().Before(from) {
		first++
	}
	out.Done = done[first:]
	for _, p := range ps {
		s, err := seriesBetween(v, t, p, earliest, to)
		if err != nil {
			return Changed{}, err
		}
		if len(s.Readings) == 0 {
			continue
		}
		before := func(at time.Time) int { // how many readings are
			return sort.Search(len(s.Readings), func(i int) bool { return !s.Readings[i].Time.Before(at) })
		}
		i, k, obs := before(from), before(around), s.observations
		b, found := breakOf(p, obs, done, t.Zone())
		if found {
			out.Breaks = append(out.Breaks, b)
		}
		if i == len(obs) {
			continue
		}
		out.Parameters = append(out.Parameters, ParameterChange{
			Parameter:  p,
			Earlier:    trend.Median(Values(s.Readings[:i])),
			Before:     trend.Median(Values(s.Readings[i:k])),
			After:      trend.Median(Values(s.Readings[k:])),
			Comparison: trend.Compare(obs[i:k], obs[k:], compareLevel),
			Move:       b.Move,
			Thinned:    s.Thinned,
		})
	}
	slices.SortStableFunc(out.Breaks, func(a, b Break) int { return -cmp.Compare(a.share(), b.share()) })
	return out, nil
}

// Values are the values of readings, limits at their limit.
func Values(rs []logbook.Reading) []float64 {
	return words.Of(rs, func(r logbook.Reading) float64 { return r.Value })
}

// ShiftText is the change in words: "+0.4 mg/L (80 % +0.1 to +0.7)", or what it would take to tell.
func (p ParameterChange) ShiftText() string {
	k := p.Comparison
	if math.IsNaN(k.Shift) {
		for _, n := range k.Notes {
			return n.Text
		}
		return "the readings cannot tell"
	}
	if math.IsInf(k.Interval.Lo, 0) || math.IsInf(k.Interval.Hi, 0) {
		return words.WithUnit(p.signed(k.Shift), words.Unit(p.Parameter)) + ", too few readings for a range"
	}
	holds := k.Interval.Attained
	if math.IsNaN(holds) { // the interval is the normal one, which holds about what was asked for
		holds = k.Interval.Level
	}
	text := fmt.Sprintf("%s (%.0f %% %s to %s)", words.WithUnit(p.signed(k.Shift), words.Unit(p.Parameter)), 100*holds,
		p.signed(k.Interval.Lo), p.signed(k.Interval.Hi))
	switch {
	case k.Few:
		text += fmt.Sprintf(", too few readings to tell: %d and %d", k.NBefore, k.NAfter)
	case k.Interval.Lo <= 0 && k.Interval.Hi >= 0:
		text += ", no change told"
	}
	return text
}

func (p ParameterChange) signed(shift float64) string {
	return words.SignedChange(p.Parameter, shift, 0)
}

// ShiftShort is the shift without its unit, and its range where that is wanted.
func (p ParameterChange) ShiftShort(whole bool) string {
	k := p.Comparison
	switch {
	case math.IsNaN(k.Shift):
		return "—"
	case !whole:
		return p.signed(k.Shift)
	case math.IsInf(k.Interval.Lo, 0) || math.IsInf(k.Interval.Hi, 0):
		return p.signed(k.Shift) + " (too few to say)"
	}
	return fmt.Sprintf("%s (%s to %s)", p.signed(k.Shift), p.signed(k.Interval.Lo), p.signed(k.Interval.Hi))
}
