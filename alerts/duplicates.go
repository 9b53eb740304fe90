package alerts

import (
	"fmt"
	"math"
	"time"

	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

// duplicateHours is how close together two readings of a tank by the same method are taken as tests of the same water
// (common practice, no source): far less than what a tank consumes in a day.
const duplicateHours = 3

// Repeat is what the duplicate tests in the book say of a method.
type Repeat struct {
	Method   logbook.Method
	Estimate trend.Repeatability // unit of the method
}

// repeatLevel is the confidence of the interval, and of the smallest difference that two single tests can show.
const repeatLevel = 0.95

// RepeatabilityOf gathers the duplicate tests by a method, in all tanks, and estimates how far its single tests
// scatter. Of three tests in a row the first two are a pair. Readings known only as a bound make no pair.
func RepeatabilityOf(v *logbook.View, m logbook.Method) (Repeat, error) {
	p, err := v.Parameter(m.Parameter)
	if err != nil {
		return Repeat{}, err
	}
	unit, err := p.FindUnit(m.Unit)
	if err != nil {
		return Repeat{}, fmt.Errorf("method %s: %w", m.Name, err)
	}
	tanks, err := v.Tanks()
	if err != nil {
		return Repeat{}, err
	}
	var pairs [][2]float64
	for _, t := range tanks {
		// what a probe writes minute after minute is no test of the same water
		rs, _, err := DailyReadings(v, t.Name, p.Name, time.Time{}, time.Time{})
		if err != nil {
			return Repeat{}, err
		}
		pairs = append(pairs, duplicates(rs, m.Name, unit)...)
	}
	return Repeat{m, trend.RepeatabilityOf(pairs, repeatLevel)}, nil
}

// duplicates are the pairs of neighbouring readings by one method, close together in time, in the unit given.
func duplicates(rs []logbook.Reading, method string, unit water.Unit) [][2]float64 {
	var pairs [][2]float64
	for i := 1; i < len(rs); i++ {
		a, b := rs[i-1], rs[i]
		if a.Method != method || b.Method != method || a.Bound != logbook.Exact || b.Bound != logbook.Exact {
			continue
		}
		if b.Time.Sub(a.Time) > duplicateHours*time.Hour {
			continue
		}
		pairs = append(pairs, [2]float64{unit.FromCanonical(a.Value), unit.FromCanonical(b.Value)})
		i++
	}
	return pairs
}

// Text says in one sentence how far single tests scatter, beside what the method's description says.
func (r Repeat) Text() string {
	e := r.Estimate
	if math.IsNaN(e.SD) {
		for _, n := range e.Notes {
			return fmt.Sprintf("%s: %s; test the same water twice within %d hours", r.Method.Name, n.Text, duplicateHours)
		}
	}
	text := fmt.Sprintf("%s: single tests scatter by %.2g %s (95 %% %.2g to %.2g, %d duplicates); two single tests must "+
		"differ by %.2g to show a change",
		r.Method.Name, e.SD, r.Method.Unit, e.Interval.Lo, e.Interval.Hi, e.Pairs, e.Smallest)
	if r.Method.SD > 0 {
		text += fmt.Sprintf("; described as %.2g", r.Method.SD)
	}
	return text
}
