package alerts

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"leadline/alerts/words"
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

// Observer turns the readings by one method into what the engine sees.
type Observer struct {
	method    logbook.Method
	described bool
	unit      water.Unit // the method's own
	kits      []trend.KitKind
}

// NewObserver is the observer of a method for a parameter. described says whether m is the keeper's own description of
// the method or the generic one of the parameter.
//
// Behind a nutrient reading whose method is not described stands one of the common kits of commonKits; which, the
// engine infers from how the readings of the series look.
func NewObserver(p logbook.Parameter, m logbook.Method, described bool) (Observer, error) {
	unit, err := p.FindUnit(m.Unit)
	if err != nil {
		return Observer{}, fmt.Errorf("method %s: %w", m.Name, err)
	}
	o := Observer{method: m, described: described, unit: unit}
	if !described {
		o.kits = commonKits(p)
	}
	return o, nil
}

// Observe turns a reading into the interval its report stands for and the method's spread there, both in the canonical
// unit of the parameter.
//
// In the method's own unit, a reading v by an instrument of step s stands for v ± s/2, and one by a scale for all
// that lies nearer to its mark than to a neighbouring mark. The last mark of a scale has no upper end and the first
// one, like every reading under the detection limit, no lower end. A value between two marks is taken as read to half
// the distance between them. The spread is sqrt(SD² + (SDRel v)² + (SDSteps d)²) with d the distance between marks
// around v, of water below v that to the mark below and of water above v that to the mark above; where the method
// tells none, half its step (common practice, no source).
func (by Observer) Observe(r logbook.Reading) trend.Observation {
	m, unit := by.method, by.unit
	v := unit.FromCanonical(r.Value)
	lo, hi, below, above := span(v, m)
	bound := trend.Bound(r.Bound) // the same three, in the same order
	switch {
	case bound == trend.Below:
		lo, hi = math.Inf(-1), v
	case bound == trend.Above:
		lo, hi = v, math.Inf(1)
	case m.Limit > 0 && v < m.Limit:
		// The instrument showed a number that it cannot tell from nothing.
		lo, hi = math.Inf(-1), math.Max(hi, m.Limit)
	}
	spread := func(gap float64) float64 {
		sd := math.Sqrt(sq(m.SD) + sq(m.SDRel*v) + sq(m.SDSteps*gap))
		if sd == 0 {
			sd = gap / 2
		}
		// The slope of the conversion at v carries the spread over; it is exact for every unit that is a plain factor.
		return math.Abs(unit.Canonical(v+sd)-unit.Canonical(v-sd)) / 2
	}
	o := trend.Observation{
		Day:       Day(r.Time),
		Value:     r.Value,
		Lo:        canonicalEnd(unit, lo),
		Hi:        canonicalEnd(unit, hi),
		SD:        spread((below + above) / 2),
		Bound:     bound,
		Described: by.described,
	}
	if below != above {
		o.SDBelow, o.SDAbove = spread(below), spread(above)
	}
	if o.Lo > o.Hi { // a unit that runs the other way
		o.Lo, o.Hi, o.SDBelow, o.SDAbove = o.Hi, o.Lo, o.SDAbove, o.SDBelow
	}
	if !(o.SD > 0) {
		o.SD = math.Max(math.Abs(r.Value)*0.05, 1e-9) // a method that tells nothing at all
	}
	for _, k := range by.kits {
		o.Kits = append(o.Kits, k.Shows(r.Value, bound))
	}
	return o
}

// span is the interval that a report of v stands for, and the distances to the neighbouring reports below and above
// it, in the method's unit.
func span(v float64, m logbook.Method) (lo, hi, below, above float64) {
	if len(m.Marks) < 2 {
		lo, hi = v-m.Step/2, v+m.Step/2
		if v >= 0 && lo < 0 {
			lo = math.Inf(-1)
		}
		return lo, hi, m.Step, m.Step
	}
	marks := m.Marks
	last := len(marks) - 1
	gap := func(i int) float64 { return marks[i] - marks[i-1] }
	i, on := slices.BinarySearch(marks, v)
	switch {
	case on && i == 0:
		return math.Inf(-1), (marks[0] + marks[1]) / 2, gap(1), gap(1)
	case on && i == last:
		return (marks[last-1] + marks[last]) / 2, math.Inf(1), gap(last), gap(last)
	case on:
		return (marks[i-1] + v) / 2, (v + marks[i+1]) / 2, gap(i), gap(i + 1)
	case i == 0:
		return math.Inf(-1), marks[0], gap(1), gap(1)
	case i > last:
		return marks[last], math.Inf(1), gap(last), gap(last)
	default: // read between two marks
		return v - gap(i)/4, v + gap(i)/4, gap(i), gap(i)
	}
}

func canonicalEnd(u water.Unit, v float64) float64 {
	if math.IsInf(v, 0) {
		return v
	}
	return u.Canonical(v)
}

func sq(x float64) float64 { return x * x }

// commonKits are the kinds of kit that may stand behind a reading whose method nobody described, in the canonical unit
// of the parameter. None for a parameter of which one generic method says enough, or of which the keeper has set that
// method.
func commonKits(p logbook.Parameter) []trend.KitKind {
	if p.Generic.Name != logbook.GenericMethod {
		return nil
	}
	switch p.Name {
	case "nitrate":
		return trend.NitrateKits()
	case "phosphate":
		return trend.PhosphateKits()
	default:
		return nil
	}
}

// Inputs turns what was done to the water of a tank, in any order, into the known inputs of one parameter's series.
// Dosing of several supplements for the same parameter adds up: each trend.Dosing carries the total from its day on.
// New water whose level of a nutrient was not told has a NaN level. Of any other parameter it is taken to be like the
// tank's own, and the change is left out: new salt water is mixed to match (common practice, no source).
func Inputs(p logbook.Parameter, done []logbook.Entry) ([]trend.Input, error) {
	done = slices.Clone(done)
	slices.SortStableFunc(done, func(a, b logbook.Entry) int { return a.When().Compare(b.When()) })
	inForce := map[string]float64{} // per day, by supplement
	var in []trend.Input
	for _, e := range done {
		switch e := e.(type) {
		case logbook.Dosing:
			if e.Parameter != p.Name {
				continue
			}
			perDay, err := p.CanonicalChange(e.PerDay, e.Unit)
			if err != nil {
				return nil, err
			}
			inForce[e.Supplement] = perDay
			now := trend.Input{Day: Day(e.Time), Kind: trend.Dosing}
			for _, name := range slices.Sorted(maps.Keys(inForce)) { // so that the last digit is always the same
				now.Amount += inForce[name]
			}
			in = append(in, now)
		case logbook.Dose:
			if e.Parameter != p.Name {
				continue
			}
			amount, err := p.CanonicalChange(e.Amount, e.Unit)
			if err != nil {
				return nil, err
			}
			in = append(in, trend.Input{Day: Day(e.Time), Kind: trend.Dose, Amount: amount})
		case logbook.WaterChange:
			level := math.NaN()
			if a, ok := e.New[p.Name]; ok {
				u, err := p.FindUnit(a.Unit)
				if err != nil {
					return nil, err
				}
				level = u.Canonical(a.Value)
			} else if !p.Nutrient {
				continue
			}
			in = append(in, trend.Input{Day: Day(e.Time), Kind: trend.Change, Fraction: e.Fraction, New: level})
		}
	}
	return in, nil
}

// DoneBetween reads everything that was done to a tank's water in a stretch of time, with the dosing that was already
// running when it began.
func DoneBetween(v *logbook.View, tank string, parameter string, from, to time.Time) ([]logbook.Entry, error) {
	running, err := v.DosingsBefore(tank, parameter, from)
	if err != nil {
		return nil, err
	}
	done := words.Of(running, func(d logbook.Dosing) logbook.Entry { return d })
	more, err := Entries(v, tank, []logbook.Kind{logbook.KindDosing, logbook.KindDose, logbook.KindWaterChange}, from, to)
	return append(done, more...), err
}
