package alerts

import (
	"math"
	"slices"
	"time"

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
}

// ParameterChange is one parameter on both sides of a moment.
type ParameterChange struct {
	Parameter     logbook.Parameter
	Before, After float64          // median reading of each side, canonical unit; NaN without readings
	Comparison    trend.Comparison // shift with its 80 % interval
}

// compareLevel is the confidence of a shift's interval, as of every interval on the screens.
const compareLevel = 0.8

// doneKinds are the kinds of entries that were seen or done, as against tested.
var doneKinds = []logbook.Kind{logbook.KindDosing, logbook.KindDose, logbook.KindWaterChange, logbook.KindEvent,
	logbook.KindChoreDone, logbook.KindRefill}

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
	ps, err := parametersOf(v, t)
	if err != nil {
		return Changed{}, err
	}
	for _, p := range ps {
		l := Line{Tank: t, Parameter: p}
		if l.Readings, err = v.Readings(t.Name, p.Name, from, to); err != nil {
			return Changed{}, err
		}
		if len(l.Readings) == 0 {
			continue
		}
		obs, err := l.observe(v)
		if err != nil {
			return Changed{}, err
		}
		k := 0
		for k < len(obs) && l.Readings[k].Time.Before(around) {
			k++
		}
		out.Parameters = append(out.Parameters, ParameterChange{
			Parameter:  p,
			Before:     medianValue(obs[:k]),
			After:      medianValue(obs[k:]),
			Comparison: trend.Compare(obs[:k], obs[k:], compareLevel),
		})
	}
	for _, kind := range doneKinds {
		es, err := v.Entries(t.Name, kind, from, to)
		if err != nil {
			return Changed{}, err
		}
		out.Done = append(out.Done, es...)
	}
	slices.SortStableFunc(out.Done, func(a, b logbook.Entry) int { return a.When().Compare(b.When()) })
	return out, nil
}

// medianValue is the median of reported values, limits at their limit; NaN of none.
func medianValue(obs []trend.Observation) float64 {
	if len(obs) == 0 {
		return math.NaN()
	}
	vs := make([]float64, len(obs))
	for i, o := range obs {
		vs[i] = o.Value
	}
	slices.Sort(vs)
	n := len(vs)
	return (vs[(n-1)/2] + vs[n/2]) / 2
}
