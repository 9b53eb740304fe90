package tui

import (
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/logbook"
)

// parameterMsg answers a chartQuestion.
type parameterMsg struct {
	asked    int
	line     alerts.Finding
	others   []string
	shown    []logbook.Reading
	laid     *picture.Over // nil: nothing
	tanks    []string      // the others that measure it
	rows     []record
	earlier  bool
	unlisted bool
}

// chartQuestion is what a chart asks of the book: a parameter of a tank as it stands at a moment, and what was written down
// of it in a stretch of time.
type chartQuestion struct {
	asked          int
	tank, name     string
	over, overTank string // "": nothing is laid over
	at, from, to   time.Time
	usual          logbook.Order
}

// mostListed is how many readings the list beneath the chart holds; a window can have a million.
const mostListed = 2000

func (q chartQuestion) answer(v *logbook.View) (tea.Msg, error) {
	msg := parameterMsg{asked: q.asked}
	t, err := v.Tank(q.tank)
	if err != nil {
		return nil, err
	}
	parameter, err := v.Parameter(q.name)
	if err != nil {
		return nil, err
	}
	if msg.line, err = alerts.ExamineParameter(v, t, parameter, q.at, 0); err != nil {
		return nil, err
	}
	if msg.others, err = lineNames(v, t, q.usual); err != nil {
		return nil, err
	}
	// One joining stretch more on the left, so that the line comes in from the edge.
	if msg.shown, err = picture.Readings(v, q.tank, q.name, q.from.Add(-picture.Joined(msg.line)), q.to); err != nil {
		return nil, err
	}
	if q.over != "" {
		if msg.laid, err = layOver(v, q.overTank, q.over, q.from, q.to, q.overTank != q.tank); err != nil {
			return nil, err
		}
	}
	if msg.tanks, err = othersMeasuring(v, q.tank, q.name); err != nil {
		return nil, err
	}
	listed, err := v.LastReadings(q.tank, q.name, q.to, mostListed)
	if err != nil {
		return nil, err
	}
	msg.unlisted = len(listed) == mostListed && !listed[0].Time.Before(q.from)
	if msg.rows, err = recordsOf(v, q.tank, q.name, listed, alerts.DoneKinds(), q.from, q.to); err != nil {
		return nil, err
	}
	msg.earlier, err = anyBefore(v, q.tank, q.name, q.from)
	return msg, err
}

// anyBefore reports whether anything was measured of a parameter or done to its tank before a moment.
func anyBefore(v *logbook.View, tank, parameter string, at time.Time) (bool, error) {
	rs, err := v.LastReadings(tank, parameter, at, 1)
	if err != nil || len(rs) > 0 {
		return len(rs) > 0, err
	}
	for _, kind := range alerts.DoneKinds() {
		es, err := v.Entries(tank, kind, time.Time{}, at)
		if err != nil {
			return false, err
		}
		if slices.ContainsFunc(es, func(e logbook.Entry) bool { return concerns(e, parameter) }) {
			return true, nil
		}
	}
	return false, nil
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
