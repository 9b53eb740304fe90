package tui

import (
	"cmp"
	"slices"
	"time"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// charted is what a chart and the list beneath it show.
type charted struct {
	line     alerts.Finding
	others   []string // the tank's parameters, for next and previous
	shown    []logbook.Reading
	laid     *picture.Over // nil: nothing
	tanks    []string      // the others that measure it
	rows     []record
	start    bool // there is nothing earlier
	unlisted bool // older readings of the stretch are not in rows
	bands    []alerts.HeldBand
}

// chartQuestion is what a chart asks of the book: a parameter of a tank as it stands at a moment, and what was written
// down of it in a stretch of time.
type chartQuestion struct {
	tank, name     string
	over, overTank string // "": nothing is laid over
	at, from, to   time.Time
	usual          logbook.Order
}

// mostListed is how many readings the list beneath the chart holds; a window can have a million.
const mostListed = 2000

func (q chartQuestion) answer(v *logbook.View) (found charted, err error) {
	if found.line, err = part.ExamineNow(v, q.tank, q.name, q.at); err != nil {
		return found, err
	}
	var errs [6]error
	found.others, errs[0] = lineNames(v, found.line.Tank, q.usual)
	// One joining stretch more on the left, so that the line comes in from the edge.
	found.shown, errs[1] = picture.Readings(v, q.tank, q.name, q.from.Add(-picture.Joined(found.line)), q.to)
	if q.over != "" {
		found.laid, errs[2] = layOver(v, q.overTank, q.over, q.from, q.to, q.overTank != q.tank)
	}
	found.tanks, errs[3] = othersMeasuring(v, q.tank, q.name)
	found.start, errs[4] = noneBefore(v, q.tank, q.name, q.from)
	found.bands, errs[5] = alerts.BandsHeld(v, found.line.Tank, found.line.Parameter)
	listed, err := v.LastReadings(q.tank, q.name, q.to, mostListed)
	if err == nil {
		found.unlisted = len(listed) == mostListed && !listed[0].Time.Before(q.from)
		found.rows, err = recordsOf(v, q.tank, q.name, listed, alerts.DoneKinds(), q.from, q.to)
	}
	return found, cmp.Or(append(errs[:], err)...)
}

// noneBefore reports whether nothing was measured of a parameter or done to its tank before a moment.
func noneBefore(v *logbook.View, tank, parameter string, at time.Time) (bool, error) {
	rs, err := v.LastReadings(tank, parameter, at, 1)
	if err != nil || len(rs) > 0 {
		return false, err
	}
	for _, kind := range alerts.DoneKinds() {
		es, err := v.Entries(tank, kind, time.Time{}, at)
		if err != nil || slices.ContainsFunc(es, func(e logbook.Entry) bool { return concerns(e, parameter) }) {
			return false, err
		}
	}
	return true, nil
}

// lineNames are the parameters a tank has a line for, in its order.
func lineNames(v *logbook.View, t logbook.Tank, usual logbook.Order) ([]string, error) {
	ps, err := alerts.ParametersOf(v, t)
	if err != nil {
		return nil, err
	}
	t.OrderOr(usual).Sort(ps)
	return words.Of(ps, func(p logbook.Parameter) string { return p.Name }), nil
}

// demandSays is what the tank takes a day of a parameter, and what of each supplement holds the level, in sentences.
func demandSays(v *logbook.View, t logbook.Tank, p logbook.Parameter, at time.Time) ([]string, error) {
	d, err := alerts.DemandOf(v, t, p, at)
	if err != nil {
		return nil, err
	}
	holdings, err := alerts.Holdings(v, d)
	if err != nil {
		return nil, err
	}
	balance, ok, err := alerts.CalcificationOf(v, d)
	return d.Says(holdings, balance, ok), err
}

func warnedAt(v *logbook.View, t logbook.Tank, p logbook.Parameter) (times []time.Time, err error) {
	lines, err := alerts.Hindcast(v, t, p, false)
	before := false
	for _, l := range lines {
		now := l.Assessment.BottomingOut || l.Assessment.BottomedOut
		if n := len(l.Readings); now && !before && n > 0 {
			times = append(times, l.Readings[n-1].Time)
		}
		before = now
	}
	return times, err
}

// layOver reads a second series for a chart: another parameter of the tank, or the same one of another tank.
func layOver(v *logbook.View, tank, parameter string, from, to time.Time, shared bool) (*picture.Over, error) {
	p, err := v.Parameter(parameter)
	if err != nil {
		return nil, err
	}
	rs, err := picture.Readings(v, tank, parameter, from, to)
	return &picture.Over{Parameter: p, Readings: rs, Shared: shared}, err
}

func othersMeasuring(v *logbook.View, tank, parameter string) ([]string, error) {
	tanks, err := v.Tanks()
	if err != nil {
		return nil, err
	}
	var out []string
	for _, t := range tanks {
		if t.Name == tank {
			continue
		}
		rs, err := v.LastReadings(t.Name, parameter, time.Time{}, 1)
		if err != nil {
			return nil, err
		}
		if len(rs) > 0 {
			out = append(out, t.Name)
		}
	}
	return out, nil
}

// nextOf is the name after one, the first after none, and none after the last.
func nextOf(names []string, name string) string {
	return append(names[:len(names):len(names)], "")[slices.Index(names, name)+1]
}
