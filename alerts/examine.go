package alerts

import (
	"fmt"
	"slices"
	"time"

	"leadline/logbook"
	"leadline/trend"
)

// Finding is what an examination finds of one parameter of a tank as-of a moment.
type Finding struct {
	Tank       logbook.Tank
	Parameter  logbook.Parameter
	Band       Band
	BandState  BandState
	Readings   []logbook.Reading // those the answer rests on, in time order
	Inputs     []trend.Input     // what was done to the level in that time
	Assessment trend.Assessment  // days counted by Day
	EveryDays  float64           // how often it is tested; 0: on occasion
	Due        time.Time         // next test; zero if on occasion only
	Supply     float64           // standing dosing per day as-of the moment, canonical unit
	Alerts     []Alert
	Thinned    bool // the log is dense, and Readings are chosen of it (see history)
	Unexamined bool // of Look: everything but band and latest reading is still to come

	observations []trend.Observation // of Readings
	probe        probe               // where a probe writes the log
}

// Report is a tank as-of a moment.
type Report struct {
	Tank     logbook.Tank
	AsOf     time.Time
	Findings []Finding // every parameter that has readings or a band, in the tank's order
	Stocks   []Stock   // by name
	Chores   []Chore   // by name
	Alerts   []Alert   // of all lines, stocks and chores, what wants attention first

	Unexamined bool    // of Look: stocks and chores, and the lines that say so, are still to come
	ofUpkeep   []Alert // those of stocks and chores
}

// Examine examines one tank as-of a moment: every parameter's readings through observation and assessment to alerts,
// with the keeper's acknowledgements applied. What it costs depends on MaxReadings, not on the age of the book.
func Examine(v *logbook.View, tank string, asOf time.Time) (Report, error) {
	report, err := newReport(v, tank, asOf)
	if err != nil {
		return Report{}, err
	}
	for i, l := range report.Findings {
		if report.Findings[i], err = ExamineParameter(v, l.Tank, l.Parameter, asOf, 0); err != nil {
			return Report{}, err
		}
	}
	upkeep, err := UpkeepOf(v, report.Tank, asOf)
	if err != nil {
		return Report{}, err
	}
	report.PutUpkeep(upkeep)
	return report, nil
}

// ExamineParameter examines one parameter of a tank as-of a moment. windowDays is the length of the rolling view; 0
// means trend.DefaultWindow.
func ExamineParameter(v *logbook.View, t logbook.Tank, p logbook.Parameter, asOf time.Time, windowDays float64) (Finding, error) {
	l, obs, err := loadLine(v, t, p, asOf)
	if err != nil {
		return Finding{}, err
	}
	if len(l.Readings) == 0 { // what is dosed does not wait for a reading
		done, err := doneBetween(v, t.Name, p.Name, asOf, asOf)
		if err != nil {
			return Finding{}, err
		}
		if l.Inputs, err = Inputs(p, done); err != nil {
			return Finding{}, err
		}
	}
	set := l.settings(windowDays)
	if set.InWindow, err = l.inWindow(v, asOf, windowDays); err != nil {
		return Finding{}, err
	}
	l.Assessment = trend.Assess(obs, l.Inputs, Day(asOf), set)
	if err := l.lookAtProbe(v, asOf); err != nil {
		return Finding{}, err
	}
	l.BandState = l.stateIn(l.Assessment, l.probe.shows())
	l.EveryDays = everyDays(l.Band, p, l.Readings)
	byProbe := l.probe.writes && l.Band.EveryDays == 0
	if byProbe {
		l.EveryDays = 1
	}
	if n := len(l.Readings); n > 0 && l.EveryDays > 0 {
		l.Due = l.Readings[n-1].Time.Add(time.Duration(l.EveryDays * dayNanos))
	}
	if byProbe && l.Due.After(asOf) {
		l.Due = time.Time{} // while a probe writes, nobody need test; one that has written nothing for a day is late
	}
	l.Supply = supplyAt(l.Inputs, Day(asOf))
	for _, rule := range []func(Finding, time.Time) (Alert, bool){floorAlert, bandAlert, suspectAlert, swingAlert, dueAlert, driftAlert} {
		if a, ok := rule(l, asOf); ok {
			a.Tank, a.Parameter = t.Name, p.Name
			l.Alerts = append(l.Alerts, a)
		}
	}
	if err := answer(l.Alerts, v, asOf); err != nil {
		return Finding{}, err
	}
	Sort(l.Alerts, asOf)
	return l, nil
}

// Hindcast is what the engine would have said at each past reading of a parameter: one Finding per reading, in time
// order, without alerts. It loads the whole series. Of a dense log it tells one reading a day, and its lines are
// Thinned; see HindcastAt for the others.
func Hindcast(v *logbook.View, t logbook.Tank, p logbook.Parameter) ([]Finding, error) {
	all := Finding{Tank: t, Parameter: p}
	var err error
	if all.Band, err = bandOf(t, p); err != nil {
		return nil, err
	}
	if all.Readings, all.Thinned, err = DailyReadings(v, t.Name, p.Name, time.Time{}, time.Time{}); err != nil {
		return nil, err
	}
	obs, err := all.observe(v)
	if err != nil {
		return nil, err
	}
	lines := make([]Finding, 0, len(obs))
	for i, a := range trend.Hindcast(obs, all.Inputs, all.settings(0)) {
		l := all
		l.Readings = all.Readings[:i+1]
		l.Assessment = a
		l.BandState = l.Band.StateIn(a)
		lines = append(lines, l)
	}
	return lines, nil
}

// HindcastAt is what the engine would have said at one past reading, without alerts. For a series that is not dense
// it is the line that Hindcast gives. What it costs depends on MaxReadings.
func HindcastAt(v *logbook.View, t logbook.Tank, p logbook.Parameter, at time.Time) (Finding, error) {
	l, obs, err := loadLine(v, t, p, at)
	if err != nil {
		return Finding{}, err
	}
	l.Assessment = trend.Assess(obs, l.Inputs, Day(at), l.settings(0))
	if err := l.lookAtProbe(v, at); err != nil {
		return Finding{}, err
	}
	l.BandState = l.stateIn(l.Assessment, l.probe.shows())
	return l, nil
}

// loadLine loads what an answer as of a moment rests on, and says nothing of it yet.
func loadLine(v *logbook.View, t logbook.Tank, p logbook.Parameter, asOf time.Time) (l Finding, obs []trend.Observation, err error) {
	l = Finding{Tank: t, Parameter: p}
	if l.Band, err = bandOf(t, p); err != nil {
		return l, nil, err
	}
	if l.Readings, l.Thinned, err = history(v, t.Name, p.Name, asOf); err != nil {
		return l, nil, err
	}
	obs, err = l.observe(v)
	return l, obs, err
}

// LineBefore is a line with the readings before a moment and what was done, to judge by it a reading of that moment.
func LineBefore(v *logbook.View, t logbook.Tank, p logbook.Parameter, at time.Time) (Finding, error) {
	l, _, err := loadLine(v, t, p, at.Add(-time.Nanosecond))
	return l, err
}

// Judge compares a reading that is about to be entered with what the earlier ones predict.
func (l Finding) Judge(v *logbook.View, r logbook.Reading) (trend.Judgement, error) {
	obs, err := l.observe(v)
	if err != nil {
		return trend.Judgement{}, err
	}
	next, err := observeWith(v, l.Parameter, r)
	if err != nil {
		return trend.Judgement{}, err
	}
	return trend.Judge(obs, l.Inputs, next, l.settings(0)), nil
}

// bandOf is BandOf with an error that names the tank.
func bandOf(t logbook.Tank, p logbook.Parameter) (Band, error) {
	b, err := BandOf(t, p)
	if err != nil {
		return Band{}, fmt.Errorf("tank %s, band of %s: %w", t.Name, p.Name, err)
	}
	return b, nil
}

// ParametersOf lists what a tank measures or wants to measure, in the tank's own order.
func ParametersOf(v *logbook.View, t logbook.Tank) ([]logbook.Parameter, error) {
	measured, err := v.Measured(t.Name)
	if err != nil {
		return nil, err
	}
	all, err := v.Parameters()
	if err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(p logbook.Parameter) bool {
		_, banded := t.Bands[p.Name]
		return !banded && !slices.Contains(measured, p.Name)
	})
	t.Order.Sort(all)
	return all, nil
}

// observe turns the line's readings into observations and loads what was done to the water in that time.
func (l *Finding) observe(v *logbook.View) ([]trend.Observation, error) {
	if len(l.Readings) == 0 {
		return nil, nil
	}
	obs := make([]trend.Observation, len(l.Readings))
	methods := map[string]method{}
	for i, r := range l.Readings {
		m, ok := methods[r.Method]
		if !ok {
			var err error
			if m, err = methodOf(v, l.Parameter, r.Method); err != nil {
				return nil, err
			}
			methods[r.Method] = m
		}
		var err error
		if obs[i], err = Observe(r, l.Parameter, m.Method, m.described); err != nil {
			return nil, err
		}
	}
	done, err := doneBetween(v, l.Tank.Name, l.Parameter.Name, l.Readings[0].Time, time.Time{})
	if err != nil {
		return nil, err
	}
	l.Inputs, err = Inputs(l.Parameter, done)
	l.observations = obs
	return obs, err
}

func (l Finding) settings(windowDays float64) trend.Settings {
	return trend.Settings{
		Floor:  l.Band.Floor,
		Low:    l.Band.Low,
		High:   l.Band.High,
		Window: windowDays,
		Wobble: l.Parameter.Wobble,
	}
}

// method is a method as used, and whether the keeper described it.
type method struct {
	logbook.Method
	described bool
}

// methodOf finds the method a reading names; an undescribed one is the parameter's generic one.
func methodOf(v *logbook.View, p logbook.Parameter, name string) (method, error) {
	if name == "" {
		return method{p.Generic, false}, nil
	}
	m, err := v.Method(name, p.Name)
	switch {
	case isNotFound(err):
		return method{p.Generic, false}, nil
	case err != nil:
		return method{}, err
	}
	return method{m, true}, nil
}

func observeWith(v *logbook.View, p logbook.Parameter, r logbook.Reading) (trend.Observation, error) {
	m, err := methodOf(v, p, r.Method)
	if err != nil {
		return trend.Observation{}, err
	}
	return Observe(r, p, m.Method, m.described)
}
