package tui

import (
	"cmp"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/logbook"
)

// parameterMsg answers parameterScreen.load.
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

func (p *parameterScreen) load() tea.Cmd {
	p.asked = p.env.Ask()
	asked, at := p.asked, p.now()
	from, to := p.span.ends(at)
	tank, name, usual := p.tank.Name, p.name, p.env.Order
	over, overTank := p.over.name, cmp.Or(p.over.tank, p.tank.Name)
	return p.env.Read(func(v *logbook.View) (tea.Msg, error) {
		msg := parameterMsg{asked: asked}
		t, err := v.Tank(tank)
		if err != nil {
			return nil, err
		}
		parameter, err := v.Parameter(name)
		if err != nil {
			return nil, err
		}
		if msg.line, err = alerts.ExamineParameter(v, t, parameter, at, 0); err != nil {
			return nil, err
		}
		if msg.others, err = lineNames(v, t, usual); err != nil {
			return nil, err
		}
		// One joining stretch more on the left, so that the line comes in from the edge.
		if msg.shown, err = picture.Readings(v, tank, name, from.Add(-picture.Joined(msg.line)), to); err != nil {
			return nil, err
		}
		if over != "" {
			if msg.laid, err = layOver(v, overTank, over, from, to, overTank != tank); err != nil {
				return nil, err
			}
		}
		if msg.tanks, err = othersMeasuring(v, tank, name); err != nil {
			return nil, err
		}
		listed, err := v.LastReadings(tank, name, to, mostListed)
		if err != nil {
			return nil, err
		}
		msg.unlisted = len(listed) == mostListed && !listed[0].Time.Before(from)
		msg.rows, err = recordsOf(v, tank, name, listed, alerts.DoneKinds(), from, to)
		if err != nil {
			return nil, err
		}
		msg.earlier, err = anyBefore(v, tank, name, from)
		return msg, err
	})
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
	out := make([]string, len(ps))
	for i, p := range ps {
		out[i] = p.Name
	}
	return out, nil
}
