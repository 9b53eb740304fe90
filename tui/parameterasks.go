package tui

import (
	"math"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/tui/part"
)

type demandMsg struct {
	screen *parameterScreen
	name   string
	says   []string
}

type hindcastMsg struct {
	screen *parameterScreen
	name   string
	warned []time.Time
}

// askDemand asks what the tank takes a day, and what of each supplement holds the level.
func (p *parameterScreen) askDemand() tea.Cmd {
	p.aside.takes = nil
	if p.aside.of != theDemand {
		return nil
	}
	t, parameter, name, at := p.tank, p.line.Parameter, p.name, p.now()
	return p.env.Read(func(v *logbook.View) (tea.Msg, error) {
		d, err := alerts.DemandOf(v, t, parameter, at)
		if err != nil {
			return nil, err
		}
		says := []string{d.Text()}
		if g := d.GrowthText(); g != "" {
			says = append(says, g)
		}
		if !math.IsNaN(d.Estimate.PerDay) { // else the first sentence has said it
			for _, n := range d.Estimate.Notes {
				says = append(says, n.Text)
			}
		}
		holdings, err := alerts.Holdings(v, d)
		if err != nil {
			return nil, err
		}
		for _, h := range holdings {
			says = append(says, h.Text())
		}
		balance, ok, err := alerts.CalcificationOf(v, d)
		if err != nil {
			return nil, err
		}
		if ok {
			says = append(says, balance.Text()...)
		}
		return demandMsg{p, name, says}, nil
	})
}

// hindcast finds when the engine would have begun to warn of the floor.
func (p *parameterScreen) hindcast() tea.Cmd {
	if p.warned != nil || !p.Loaded {
		p.warned = nil
		return nil
	}
	t, parameter, name := p.tank, p.line.Parameter, p.name
	return tea.Batch(part.Notice("asking the hindcast…"), p.env.Read(func(v *logbook.View) (tea.Msg, error) {
		lines, err := alerts.Hindcast(v, t, parameter)
		if err != nil {
			return nil, err
		}
		msg := hindcastMsg{screen: p, name: name}
		before := false
		for _, l := range lines {
			now := l.Assessment.BottomingOut || l.Assessment.BottomedOut
			if n := len(l.Readings); now && !before && n > 0 {
				msg.warned = append(msg.warned, l.Readings[n-1].Time)
			}
			before = now
		}
		return msg, nil
	}))
}
