package alerts

import (
	"maps"
	"math"
	"slices"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
)

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
