package alerts

import (
	"fmt"
	"math"
	"slices"
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
	Done       []logbook.Entry // everything but readings and acknowledgements, in time order
	Known      words.Known     // by which Done is put into words
}

// ParameterChange is one parameter on both sides of a moment.
type ParameterChange struct {
	Parameter     logbook.Parameter
	Before, After float64          // median reading of each side, canonical unit; NaN without readings
	Comparison    trend.Comparison // shift with its 80 % interval
	Thinned       bool             // the log is dense: one reading a day is compared

	observations []trend.Observation // of both sides
}

// compareLevel is the confidence of a shift's interval, as of every interval on the screens.
const compareLevel = 0.8

// DoneKinds are the kinds of entries that were seen or done, as against tested.
func DoneKinds() []logbook.Kind {
	return []logbook.Kind{logbook.KindDosing, logbook.KindDose, logbook.KindWaterChange, logbook.KindEvent,
		logbook.KindChoreDone, logbook.KindRefill}
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

// WhatChanged compares the readings of every parameter in so many days before a moment with those in as many days from it
// on, and collects what was done in that time.
func WhatChanged(v *logbook.View, tank string, around time.Time, days float64) (Changed, error) {
	t, err := v.Tank(tank)
	if err != nil {
		return Changed{}, err
	}
	side := time.Duration(days * dayNanos)
	from, to := around.Add(-side), around.Add(side)
	out := Changed{Tank: t, Around: around, Days: days}
	ps, err := ParametersOf(v, t)
	if err != nil {
		return Changed{}, err
	}
	for _, p := range ps {
		s, err := seriesBetween(v, t, p, from, to)
		if err != nil {
			return Changed{}, err
		}
		if len(s.Readings) == 0 {
			continue
		}
		obs := s.observations
		k := 0
		for k < len(obs) && s.Readings[k].Time.Before(around) {
			k++
		}
		out.Parameters = append(out.Parameters, ParameterChange{
			Parameter:  p,
			Before:     Median(Values(s.Readings[:k])),
			After:      Median(Values(s.Readings[k:])),
			Comparison: trend.Compare(obs[:k], obs[k:], compareLevel),
			Thinned:    s.Thinned,

			observations: obs,
		})
	}
	if out.Known, err = words.Know(v, t.Name); err != nil {
		return Changed{}, err
	}
	out.Done, err = Entries(v, t.Name, DoneKinds(), from, to)
	return out, err
}

// Values are the values of readings, limits at their limit.
func Values(rs []logbook.Reading) []float64 {
	vs := make([]float64, len(rs))
	for i, r := range rs {
		vs[i] = r.Value
	}
	return vs
}

// Median is the median of values; NaN of none.
func Median(vs []float64) float64 {
	n := len(vs)
	if n == 0 {
		return math.NaN()
	}
	vs = slices.Sorted(slices.Values(vs))
	return (vs[(n-1)/2] + vs[n/2]) / 2
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
		return words.WithUnit(words.Signed(k.Shift, p.Parameter.Digits), p.Parameter.Unit) + ", too few readings for a range"
	}
	holds := k.Interval.Attained
	if math.IsNaN(holds) { // the interval is the normal one, which holds about what was asked for
		holds = k.Interval.Level
	}
	text := fmt.Sprintf("%s (%.0f %% %s to %s)", words.WithUnit(words.Signed(k.Shift, p.Parameter.Digits), p.Parameter.Unit), 100*holds,
		words.Signed(k.Interval.Lo, p.Parameter.Digits), words.Signed(k.Interval.Hi, p.Parameter.Digits))
	switch {
	case k.Few:
		text += fmt.Sprintf(", too few readings to tell: %d and %d", k.NBefore, k.NAfter)
	case k.Interval.Lo <= 0 && k.Interval.Hi >= 0:
		text += ", no change told"
	}
	return text
}

// ShiftShort is the shift without its unit, and its range where that is wanted.
func (p ParameterChange) ShiftShort(whole bool) string {
	k, digits := p.Comparison, p.Parameter.Digits
	switch {
	case math.IsNaN(k.Shift):
		return "—"
	case !whole:
		return words.Signed(k.Shift, digits)
	case math.IsInf(k.Interval.Lo, 0) || math.IsInf(k.Interval.Hi, 0):
		return words.Signed(k.Shift, digits) + " (too few to say)"
	}
	return fmt.Sprintf("%s (%s to %s)", words.Signed(k.Shift, digits), words.Signed(k.Interval.Lo, digits), words.Signed(k.Interval.Hi, digits))
}

// moveLevel is the confidence of the date of a move.
const moveLevel = 0.95

// Move looks for one move of the level in the time looked at.
func (p ParameterChange) Move() trend.Move { return trend.FindMove(p.observations, moveLevel) }

// MoveText says a move in one sentence: "nitrate moved by −3.1 mg/L around 3 Mar 2026 (95 % 24 Feb to 9 Mar)".
func MoveText(p logbook.Parameter, m trend.Move, zone *time.Location) string {
	if !m.Found {
		for _, n := range m.Notes {
			return p.Name + ": " + n.Text
		}
		return p.Name + ": no move of the level can be told"
	}
	day := func(d float64, open string) string {
		if math.IsInf(d, 0) {
			return open
		}
		return words.ShortDay(TimeOf(d, zone))
	}
	amount := "by an amount that limits hide"
	if !math.IsNaN(m.Amount) {
		amount = "by " + words.WithUnit(words.Signed(m.Amount, p.Digits), p.Unit)
	}
	return fmt.Sprintf("%s moved %s around %s (%.0f %% %s to %s)", p.Name, amount, words.Day(TimeOf(m.Day, zone)),
		100*m.Level, day(m.DayLo, "the first reading"), day(m.DayHi, "the last"))
}
