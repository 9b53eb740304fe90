package alerts

import (
	"slices"
	"time"

	"leadline/logbook"
	"leadline/trend"
)

// Series is what every answer about one parameter of a tank rests on. It is loaded once; what is said of it afterwards
// reads nothing more.
type Series struct {
	Tank      logbook.Tank
	Parameter logbook.Parameter
	Band      Band
	Readings  []logbook.Reading // in time order
	Inputs    []trend.Input     // what was done to the level in that time
	Thinned   bool              // the log is dense, and Readings are chosen of it (see history)

	observations []trend.Observation // of Readings
	methods      []logbook.Method    // those described
	windowDays   float64             // of the rolling view; 0: trend.DefaultWindow
	inWindow     []trend.Observation // what that rests on; nil: the observations
	probe        probe               // where a probe writes the log
}

// seriesUpTo loads what an answer as of a moment rests on.
func seriesUpTo(v *logbook.View, t logbook.Tank, p logbook.Parameter, asOf time.Time) (s Series, err error) {
	s = Series{Tank: t, Parameter: p}
	if s.Readings, s.Thinned, err = history(v, t.Name, p.Name, asOf); err != nil {
		return s, err
	}
	if err := s.load(v); err != nil || len(s.Readings) > 0 {
		return s, err
	}
	return s, s.loadInputs(v, asOf, asOf) // what is dosed does not wait for a reading
}

// SeriesBefore loads what a reading of a moment is judged by: the readings before it, and what was done.
func SeriesBefore(v *logbook.View, t logbook.Tank, p logbook.Parameter, at time.Time) (Series, error) {
	return seriesUpTo(v, t, p, at.Add(-time.Nanosecond))
}

// seriesBetween loads a stretch of time, one reading a day where the log is dense. Zero times leave the ends open.
func seriesBetween(v *logbook.View, t logbook.Tank, p logbook.Parameter, from, to time.Time) (s Series, err error) {
	s = Series{Tank: t, Parameter: p}
	if s.Readings, s.Thinned, err = DailyReadings(v, t.Name, p.Name, from, to); err != nil {
		return s, err
	}
	return s, s.load(v)
}

// load loads what goes with the readings, and turns them into observations.
func (s *Series) load(v *logbook.View) (err error) {
	if s.Band, err = BandOf(s.Tank, s.Parameter); err != nil {
		return err
	}
	if s.methods, err = v.Methods(); err != nil || len(s.Readings) == 0 {
		return err
	}
	if s.observations, err = s.observe(s.Readings); err != nil {
		return err
	}
	return s.loadInputs(v, s.Readings[0].Time, time.Time{})
}

func (s *Series) loadInputs(v *logbook.View, from, to time.Time) error {
	done, err := DoneBetween(v, s.Tank.Name, s.Parameter.Name, from, to)
	if err != nil {
		return err
	}
	s.Inputs, err = Inputs(s.Parameter, done)
	return err
}

// observe takes a method that is not described for the parameter's generic one.
func (s Series) observe(readings []logbook.Reading) ([]trend.Observation, error) {
	obs := make([]trend.Observation, len(readings))
	observers := map[string]Observer{}
	for i, r := range readings {
		o, ok := observers[r.Method]
		if !ok {
			m := s.Parameter.Generic
			i := slices.IndexFunc(s.methods, func(m logbook.Method) bool {
				return m.Name == r.Method && m.Parameter == s.Parameter.Name
			})
			if i >= 0 {
				m = s.methods[i]
			}
			var err error
			if o, err = NewObserver(s.Parameter, m, i >= 0); err != nil {
				return nil, err
			}
			observers[r.Method] = o
		}
		obs[i] = o.Observe(r)
	}
	return obs, nil
}

func (s Series) settings() trend.Settings {
	return trend.Settings{Floor: s.Band.Floor, Low: s.Band.Low, High: s.Band.High, Wobble: s.Parameter.Wobble}
}

// Judge compares a reading that is about to be entered with what the earlier ones predict.
func (s Series) Judge(r logbook.Reading) (trend.Judgement, error) {
	next, err := s.observe([]logbook.Reading{r})
	if err != nil {
		return trend.Judgement{}, err
	}
	return trend.Judge(s.observations, s.Inputs, next[0], s.settings()), nil
}

// WhatIf is the assessment of a series with things done to the water that are yet to come: another dosing, a dose, a
// water change. They change the forecast, the chances and the floor dates, not what is believed of the present.
func (s Series) WhatIf(asOf time.Time, extra []trend.Input) trend.Assessment {
	return trend.WhatIf(s.observations, s.Inputs, Day(asOf), extra, s.settings())
}
