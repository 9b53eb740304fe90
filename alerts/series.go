package alerts

import (
	"cmp"
	"math"
	"slices"
	"time"

	"leadline/alerts/words"
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
			m, described := words.First(s.methods, func(m logbook.Method) bool {
				return m.Name == r.Method && m.Parameter == s.Parameter.Name
			})
			if !described {
				m = s.Parameter.Generic
			}
			var err error
			if o, err = NewObserver(s.Parameter, m, described); err != nil {
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

// How far back an examination looks. What lies further back changes the present answer by nothing a screen could
// show, and reading it would make a morning glance as slow as the history is long. Four years of weekly tests lie
// within both, so that a hindcast, which follows the whole series, says the same.
const (
	HistoryDays = 1500
	MaxReadings = 400
)

// A log is dense where it holds more than DenseCrowd readings a day: more than anybody tests by hand (common
// practice, no source). Readings of one probe, minutes apart, share its fault and the water's mood: a hundred of them
// know the level hardly better than one. So an answer rests on one reading of each bin of time, and takes it for no
// more than one.
const DenseCrowd = 12

const day = 24 * time.Hour

// tiers are the bins of a dense log: a day for as long as the rolling view looks back, and a week before. Days begin
// in UTC. A day is the closest at which readings tell the engine something new: its wobble lasts for days, and a
// probe's readings of one day all ride on the same.
func tiers() []logbook.Tier {
	return []logbook.Tier{
		{Until: 56 * day, Width: day, Crowd: DenseCrowd},
		{Width: 7 * day, Crowd: 7 * DenseCrowd},
	}
}

// history reads the readings an answer rests on; thinned says that the log is dense and that they are chosen of it.
func history(v *logbook.View, tank, parameter string, asOf time.Time) (rs []logbook.Reading, thinned bool, err error) {
	rs, thinned, err = v.Thinned(tank, parameter, time.Time{}, asOf, MaxReadings, tiers())
	if err != nil {
		return nil, false, err
	}
	oldest := asOf.AddDate(0, 0, -HistoryDays)
	first := 0
	// The last reading is shown however old it is.
	for first < len(rs)-1 && rs[first].Time.Before(oldest) {
		first++
	}
	return rs[first:], thinned, nil
}

// loadWindow loads what the rolling view rests on where that is not what the answer rests on: all readings of the
// window, or, where they are more than DenseCrowd a day on the average, those that are left of a dense log, for the
// p-value and the intervals take readings for independent.
func (s *Series) loadWindow(v *logbook.View, asOf time.Time, windowDays float64) error {
	s.windowDays = windowDays
	if windowDays == 0 {
		windowDays = trend.DefaultWindow
	}
	start := asOf.Add(-time.Duration(windowDays * dayNanos))
	if n := len(s.Readings); n == 0 || !s.Thinned && !s.Readings[0].Time.After(start) {
		return nil
	}
	rs, whole, err := v.ReadingsAtMost(s.Tank.Name, s.Parameter.Name, start, asOf, int(DenseCrowd*windowDays)+1)
	if err == nil && !whole {
		rs, _, err = v.Thinned(s.Tank.Name, s.Parameter.Name, start, asOf, math.MaxInt, tiers())
	}
	s.inWindow = make([]trend.Observation, len(rs))
	for i, r := range rs {
		s.inWindow[i] = trend.Observation{Day: Day(r.Time), Value: r.Value, Bound: trend.Bound(r.Bound)}
	}
	return err
}

// probeSpan is how far back the middle of what a probe shows now is taken over.
const probeSpan = 2 * time.Hour

// probe is what a probe shows: the middle of its readings of the last probeSpan, and of the same span a day before. At
// the same hour the daily swing of light and heater is the same, and the middle of many is no glitch.
type probe struct {
	writes         bool // whether a probe wrote the latest readings
	now, dayBefore []trend.Observation
}

// shows is the value a probe shows now; NaN where none writes.
func (p probe) shows() float64 {
	if len(p.now) == 0 {
		return math.NaN()
	}
	return p.now[0].Value
}

// recent is how many of the latest readings tell how often a parameter is tested.
const recent = 9

// loadProbe finds out whether a probe writes the end of a dense log, and what it shows.
func (s *Series) loadProbe(v *logbook.View, asOf time.Time) error {
	if !s.Thinned {
		return nil
	}
	rs, err := v.LastReadings(s.Tank.Name, s.Parameter.Name, asOf, recent)
	if err != nil || len(rs) < recent {
		return err
	}
	latest := rs[recent-1].Time
	if latest.Sub(rs[0].Time) > (recent-1)*day/DenseCrowd {
		return nil
	}
	s.probe.writes = true
	if s.probe.now, err = s.middle(v, latest); err != nil {
		return err
	}
	s.probe.dayBefore, err = s.middle(v, latest.Add(-day))
	return err
}

// middle is the observation with the median value of the span up to a moment; none where nothing was written in it.
func (s *Series) middle(v *logbook.View, until time.Time) ([]trend.Observation, error) {
	rs, err := v.Readings(s.Tank.Name, s.Parameter.Name, until.Add(-probeSpan), until)
	if err != nil || len(rs) == 0 {
		return nil, err
	}
	slices.SortStableFunc(rs, func(a, b logbook.Reading) int { return cmp.Compare(a.Value, b.Value) })
	return s.observe(rs[(len(rs)-1)/2:][:1])
}

// DailyReadings reads a stretch of time, one reading a day where the log is dense, and with the latest. Zero times
// leave the ends open.
func DailyReadings(v *logbook.View, tank, parameter string, from, to time.Time) (rs []logbook.Reading, thinned bool,
	err error) {
	return v.Thinned(tank, parameter, from, to, math.MaxInt, []logbook.Tier{{Width: day, Crowd: DenseCrowd}})
}

// ShownReadings reads what a chart shows of a stretch of time that it draws in so many parts: all readings, but of a
// dense log the middle one of each part, for which it costs the same however many there are. A spike shorter than a
// part does not show; it does where the chart is of a shorter time.
func ShownReadings(v *logbook.View, tank, parameter string, from, to time.Time, parts int) ([]logbook.Reading, error) {
	width := max(to.Sub(from)/time.Duration(parts), time.Minute).Round(time.Minute)
	crowd := max(DenseCrowd, int(DenseCrowd*width/day))
	rs, _, err := v.Thinned(tank, parameter, from, to, math.MaxInt, []logbook.Tier{{Width: width, Crowd: crowd}})
	return rs, err
}
