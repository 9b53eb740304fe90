package alerts

import (
	"cmp"
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

const (
	z80         = 1.2816 // the normal quantile at 90 %: 80 % lie within this many standard deviations
	fewestGaps  = 4      // between tests, before a rate and its spread are learned from them
	recentTests = 40     // from which the rate is learned
	recentLook  = 100000 // readings of any method, among which they are looked for: ten weeks of a probe's, a minute apart
)

// reagent counts the tests made since the refill, and learns from the recent ones how often a test is made.
func (s *Stock) reagent(v *logbook.View, t logbook.Tank, asOf time.Time) error {
	enough := int(math.Min(math.Ceil(s.Filled.Amount), math.MaxInt32)) // tests that use it up
	var made, recent []logbook.Reading
	for _, tank := range s.Serves() {
		some, err := v.MadeWith(tank, s.Parameter, s.Method, s.Filled.Time.Add(1), asOf, enough)
		last, err2 := v.LastMadeWith(tank, s.Parameter, s.Method, asOf, recentTests, recentLook)
		if err := cmp.Or(err, err2); err != nil {
			return err
		}
		made, recent = append(made, some...), append(recent, last...)
	}
	made, recent = inTime(made), inTime(recent)
	made, recent = made[:min(len(made), enough)], recent[max(0, len(recent)-recentTests):]
	s.Used = float64(len(made))
	s.Left = math.Max(0, s.Filled.Amount-s.Used)
	rate, err := s.testRate(v, t, recent)
	if err != nil {
		return err
	}
	if s.Empty() {
		s.Out, s.Why = RunOut{}, ""
		s.PerDay = 1 / rate.every
		s.Since = s.runningLow(made, rate)
		if len(made) > 0 {
			s.emptied = made[len(made)-1].Time
		}
		return nil
	}
	if math.IsNaN(rate.every) {
		return nil
	}
	s.PerDay = 1 / rate.every
	waited := 0.0 // since the last test
	if n := len(recent); n > 0 {
		waited = Day(asOf) - Day(recent[n-1].Time)
	}
	s.Out = rate.end(s.Left, waited)
	if s.Out.early() <= StockLeadDays {
		s.Since = s.runningLow(made, rate)
	}
	return nil
}

// inTime puts the readings of several tanks in order of time.
func inTime(rs []logbook.Reading) []logbook.Reading {
	slices.SortStableFunc(rs, func(a, b logbook.Reading) int { return a.Time.Compare(b.Time) })
	return rs
}

// testRate is how often a test is made, in days, with its scatter; NaN where not known.
type testRate struct {
	every, sd float64
	n         int // gaps it rests on; 0 if it is as planned
}

// testRate learns the rate from recent tests with this reagent; too few of them, and it is as planned. It sets Basis or
// Why.
func (s *Stock) testRate(v *logbook.View, t logbook.Tank, recent []logbook.Reading) (testRate, error) {
	if n := len(recent) - 1; n >= fewestGaps {
		mean := (Day(recent[n].Time) - Day(recent[0].Time)) / float64(n)
		ss := 0.0
		for i := range n {
			ss += sq(Day(recent[i+1].Time) - Day(recent[i].Time) - mean)
		}
		if mean > 0 {
			s.Basis = fmt.Sprintf("the last %d tests came %.1f days apart; 80 %%: from how much those gaps scatter, and %.0f "+
				"%% for a change of habit, a rule of thumb", n+1, mean, 100*habitShare)
			return testRate{mean, math.Sqrt(ss / float64(n-1)), n}, nil
		}
	}
	few := fmt.Sprintf("needs %d tests to learn how often, has %d", fewestGaps+1, len(recent))
	p, err := v.Parameter(s.Parameter)
	if err != nil && !errors.Is(err, logbook.ErrNotFound) {
		return testRate{}, err
	}
	perDay := 0.0 // in all tanks that it serves
	for _, name := range s.Serves() {
		if name != t.Name {
			if t, err = v.Tank(name); err != nil && !errors.Is(err, logbook.ErrNotFound) {
				return testRate{}, err
			}
		}
		band, err := BandOf(t, p)
		if err != nil {
			return testRate{}, err
		}
		if every := everyDays(band, p, nil); every > 0 {
			perDay += 1 / every
		}
	}
	every := 1 / perDay
	if perDay == 0 {
		s.Why = few
		return testRate{math.NaN(), math.NaN(), 0}, nil
	}
	s.Basis = fmt.Sprintf("a test %s as planned; %s and cannot tell a spread", words.Every(every), few)
	return testRate{every, math.NaN(), 0}, nil
}

// end is when the last of so many tests is made, if the last one was made some days ago. The next is due one gap after
// it, or now; the others follow. Gaps scatter independently, and their mean is itself known only from n of them:
//
//	variance = sd² (left + left²/n)
//
// to which comes, independently, a share of the time itself for a change of habit.
func (r testRate) end(left, waited float64) RunOut {
	middle := math.Max(0, r.every-waited) + (left-1)*r.every
	if r.n == 0 {
		return RunOut{math.NaN(), inSight(middle), math.NaN()}
	}
	half := math.Hypot(z80*r.sd*math.Sqrt(left+left*left/float64(r.n)), habitShare*middle)
	return RunOut{inSight(middle - half), inSight(middle), inSight(middle + half)}
}

// runningLow is when so few tests were left that it became an alert: at the test that left one too few at this rate.
func (s Stock) runningLow(made []logbook.Reading, rate testRate) time.Time {
	since := s.Filled.Time
	for i, r := range made {
		left := s.Filled.Amount - float64(i)
		if left < 1 || rate.end(left, 0).early() <= StockLeadDays {
			break
		}
		since = r.Time
	}
	return since
}

func (s *Stock) reservoir(v *logbook.View, asOf time.Time) error {
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
		here, perDay, err := volumeUsed(supplement, parameters, t.VolumeL, done, Day(s.Filled.Time), Day(asOf))
		if err != nil {
			return err
		}
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

// volumeUsed turns dosing and doses of a supplement, in time order, into the volume of it used from one day to another,
// and the rate in force at its end, in mL and mL a day. A supplement that raises two parameters is noted once for each:
// what is used at a moment is the largest volume that any of them asks for, not the sum.
func volumeUsed(s logbook.Supplement, ps []logbook.Parameter, litres float64, done []logbook.Entry, from,
	to float64) (used, rate float64, err error) {
	strengths := map[string]logbook.Rise{}
	for _, r := range s.Raises(ps) {
		strengths[r.Parameter.Name] = r
	}
	millilitres := func(parameter string, amount float64, unit string) (ml float64) {
		r, ok := strengths[parameter]
		if !ok || amount == 0 || err != nil {
			return 0
		}
		var rise float64
		if rise, err = r.Parameter.CanonicalChange(amount, unit); err == nil {
			ml, err = r.Strength.Millilitres(rise, litres)
		}
		return ml
	}
	inForce := map[string]float64{} // mL a day, by parameter
	since, dosed, dose := from, from, 0.0
	for _, e := range done {
		at := Day(e.When())
		switch e := e.(type) {
		case logbook.Dosing:
			if e.Supplement != s.Name || at > to {
				continue
			}
			used += rate * max(0, at-since)
			since = max(since, at)
			inForce[e.Parameter] = millilitres(e.Parameter, e.PerDay, e.Unit)
			rate = max(0, slices.Max(slices.Collect(maps.Values(inForce))))
		case logbook.Dose:
			if e.Supplement != s.Name || at <= from || at > to {
				continue
			}
			if at > dosed {
				dosed, dose = at, 0
			}
			ml := millilitres(e.Parameter, e.Amount, e.Unit)
			used += max(0, ml-dose)
			dose = max(dose, ml)
		}
	}
	return used + rate*max(0, to-since), rate, err
}
