package alerts

import (
	"fmt"
	"math"
	"slices"
	"time"

	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

const dayNanos = 24 * float64(time.Hour)

// Day is a moment as the engine counts it: days since 1970-01-01 UTC.
func Day(t time.Time) float64 { return float64(t.UnixNano()) / dayNanos }

// TimeOf is the moment of a day count, in the given zone, to the second.
func TimeOf(day float64, zone *time.Location) time.Time {
	return time.Unix(int64(math.Round(day*86400)), 0).In(zone)
}

// Observe turns a reading into what the engine sees: the interval its report stands for and the method's spread there,
// both in the canonical unit of p. described says whether m is the keeper's own description of the method or the generic
// one of the parameter.
//
// In the method's own unit, a reading v by an instrument of step s stands for v ± s/2, and one by a scale for all that
// lies nearer to its mark than to a neighbouring mark. The last mark of a scale has no upper end and the first one, like
// every reading under the detection limit, no lower end. A value between two marks is taken as read to half the
// distance between them. The spread is sqrt(SD² + (SDRel v)² + (SDSteps d)²) with d the distance between marks around
// v; where the method tells none, half its step (common practice, no source).
func Observe(r logbook.Reading, p logbook.Parameter, m logbook.Method, described bool) (trend.Observation, error) {
	unit, err := p.FindUnit(m.Unit)
	if err != nil {
		return trend.Observation{}, fmt.Errorf("method %s: %w", m.Name, err)
	}
	v := unit.FromCanonical(r.Value)
	lo, hi, step := span(v, m)
	bound := trend.Exact
	switch {
	case r.Bound == logbook.Below:
		lo, hi, bound = math.Inf(-1), v, trend.Below
	case r.Bound == logbook.Above:
		lo, hi, bound = v, math.Inf(1), trend.Above
	case m.Limit > 0 && v < m.Limit:
		// The instrument showed a number that it cannot tell from nothing.
		lo, hi = math.Inf(-1), math.Max(hi, m.Limit)
	}
	sd := math.Sqrt(sq(m.SD) + sq(m.SDRel*v) + sq(m.SDSteps*step))
	if sd == 0 {
		sd = step / 2
	}
	o := trend.Observation{
		Day:       Day(r.Time),
		Value:     r.Value,
		Lo:        canonicalEnd(unit, lo),
		Hi:        canonicalEnd(unit, hi),
		Bound:     bound,
		Described: described,
	}
	if o.Lo > o.Hi { // a unit that runs the other way
		o.Lo, o.Hi = o.Hi, o.Lo
	}
	// The slope of the conversion at v carries the spread over; it is exact for every unit that is a plain factor.
	o.SD = math.Abs(unit.Canonical(v+sd)-unit.Canonical(v-sd)) / 2
	if !(o.SD > 0) {
		o.SD = math.Max(math.Abs(r.Value)*0.05, 1e-9) // a method that tells nothing at all
	}
	return o, nil
}

// span is the interval that a report of v stands for, and the distance between neighbouring reports around it, in the
// method's unit.
func span(v float64, m logbook.Method) (lo, hi, step float64) {
	if len(m.Marks) < 2 {
		lo, hi = v-m.Step/2, v+m.Step/2
		if v >= 0 && lo < 0 {
			lo = math.Inf(-1)
		}
		return lo, hi, m.Step
	}
	marks := m.Marks
	last := len(marks) - 1
	i, on := slices.BinarySearch(marks, v)
	switch {
	case on && i == 0:
		return math.Inf(-1), (marks[0] + marks[1]) / 2, marks[1] - marks[0]
	case on && i == last:
		return (marks[last-1] + marks[last]) / 2, math.Inf(1), marks[last] - marks[last-1]
	case on:
		return (marks[i-1] + v) / 2, (v + marks[i+1]) / 2, (marks[i+1] - marks[i-1]) / 2
	case i == 0:
		return math.Inf(-1), marks[0], marks[1] - marks[0]
	case i > last:
		return marks[last], math.Inf(1), marks[last] - marks[last-1]
	default: // read between two marks
		step = marks[i] - marks[i-1]
		return v - step/4, v + step/4, step
	}
}

func canonicalEnd(u water.Unit, v float64) float64 {
	if math.IsInf(v, 0) {
		return v
	}
	return u.Canonical(v)
}

func sq(x float64) float64 { return x * x }
