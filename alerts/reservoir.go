package alerts

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
)

func (s *Stock) reservoir(v *logbook.View, t logbook.Tank, asOf time.Time) error {
	supplement, err := v.Supplement(s.Supplement)
	switch {
	case errors.Is(err, logbook.ErrNotFound):
		s.Why = logbook.Clean(s.Supplement) + " is not described as a supplement, so its strength is not known"
		return nil
	case err != nil:
		return err
	}
	parameters, err := v.Parameters()
	if err != nil {
		return err
	}
	var used, rate float64 // mL, mL a day
	var volumes []string
	for _, name := range s.Serves() {
		t, err := v.Tank(name)
		if errors.Is(err, logbook.ErrNotFound) {
			s.Why = "there is no tank " + logbook.Clean(name) + ", which it is said to serve"
			return nil
		}
		if err != nil {
			return err
		}
		if t.VolumeL <= 0 {
			s.Why = "the net volume of the tank is not known"
			return nil
		}
		done, err := DoneBetween(v, t.Name, "", s.Filled.Time, asOf)
		if err != nil {
			return err
		}
		use, err := volumeUse(supplement, parameters, t.VolumeL, done)
		if err != nil {
			return err
		}
		here, perDay := use.between(Day(s.Filled.Time), Day(asOf))
		used, rate, volumes = used+here, rate+perDay, append(volumes, words.Litres(t.VolumeL))
	}
	perUnit, err := water.Litres(1, s.Unit)
	if err != nil {
		return err
	}
	ml := 1000 * perUnit // in one of the stock's units
	s.Basis = fmt.Sprintf("dosing of %s as noted, through its strength and %s; 80 %%: the doser gives within %.0f %% of "+
		"it, a rule of thumb", logbook.Clean(s.Supplement), strings.Join(volumes, " and "), 100*doserShare)
	if rate == 0 {
		s.Basis = "no dosing of " + logbook.Clean(s.Supplement) + " is in force"
	}
	s.runDown(used/ml, rate/ml, doserShare, asOf)
	return nil
}

// use is what a supplement was used at, in mL: at standing rates from days on, and at once.
type use struct {
	rates []useAt // mL a day, in time order
	doses []useAt // mL
}

type useAt struct{ day, ml float64 }

// volumeUse turns dosing and doses of a supplement into volumes of it. A supplement that raises two parameters is noted
// once for each: what is used at a moment is the largest volume that any of them asks for, not the sum.
func volumeUse(s logbook.Supplement, ps []logbook.Parameter, litres float64, done []logbook.Entry) (use, error) {
	strengths := map[string]logbook.Rise{}
	for _, r := range s.Raises(ps) {
		strengths[r.Parameter.Name] = r
	}
	millilitres := func(parameter string, amount float64, unit string) (float64, error) {
		r, ok := strengths[parameter]
		if !ok || amount == 0 {
			return 0, nil
		}
		rise, err := r.Parameter.CanonicalChange(amount, unit)
		if err != nil {
			return 0, err
		}
		return r.Strength.Millilitres(rise, litres)
	}
	var u use
	inForce := map[string]float64{} // mL a day, by parameter
	for _, e := range done {
		switch e := e.(type) {
		case logbook.Dosing:
			if e.Supplement != s.Name {
				continue
			}
			ml, err := millilitres(e.Parameter, e.PerDay, e.Unit)
			if err != nil {
				return u, err
			}
			inForce[e.Parameter] = ml
			u.rates = append(u.rates, useAt{Day(e.Time), max(0, slices.Max(slices.Collect(maps.Values(inForce))))})
		case logbook.Dose:
			if e.Supplement != s.Name {
				continue
			}
			ml, err := millilitres(e.Parameter, e.Amount, e.Unit)
			if err != nil {
				return u, err
			}
			if n := len(u.doses); n > 0 && u.doses[n-1].day == Day(e.Time) {
				u.doses[n-1].ml = math.Max(u.doses[n-1].ml, ml)
			} else {
				u.doses = append(u.doses, useAt{Day(e.Time), ml})
			}
		}
	}
	return u, nil
}

// between is the volume used from one day to another, and the rate in force at its end.
func (u use) between(from, to float64) (used, rate float64) {
	since := from
	for _, r := range u.rates {
		if r.day > to {
			break
		}
		if r.day > since {
			used += rate * (r.day - since)
			since = r.day
		}
		rate = r.ml
	}
	used += rate * math.Max(0, to-since)
	for _, d := range u.doses {
		if d.day > from && d.day <= to {
			used += d.ml
		}
	}
	return used, rate
}
