package tui

import (
	"cmp"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/logbook"
)

// resume goes back to where the keeper was, unless they have gone somewhere since.
func (g *glance) resume(p place) tea.Cmd {
	if !g.loaded {
		g.was = &p
		return nil
	}
	g.was = nil
	if _, there := tankOf(g.reports, p.Tank); !there || g.touched {
		return nil
	}
	g.goTo(p.Tank, p.Parameter)
	g.settled = true
	return g.reopen(p)
}

// reopen opens on top of the glance what the keeper had there, where the book has such a thing still.
func (g *glance) reopen(p place) tea.Cmd {
	tank, _ := tankOf(g.reports, p.Tank)
	switch p.Screen {
	case onChart:
		if !hasLine(g.reports, p.Tank, p.Parameter) {
			return nil
		}
		if !hasLine(g.reports, cmp.Or(p.OverTank, p.Tank), p.Over) {
			p.Over, p.OverTank = "", ""
		}
		return open(chartOf{tank: tank, as: p})
	case onAlerts:
		return open(alertsOf{})
	case onJournal:
		return open(journalOf{tank})
	case onUpkeep:
		return open(upkeepOf{tank: tank})
	case onChanges:
		return open(changesOf{tank: tank})
	default:
		return nil
	}
}

func tankOf(reports []alerts.Report, name string) (logbook.Tank, bool) {
	for _, r := range reports {
		if r.Tank.Name == name {
			return r.Tank, true
		}
	}
	return logbook.Tank{}, false
}

func hasLine(reports []alerts.Report, tank, parameter string) bool {
	return slices.ContainsFunc(reports, func(r alerts.Report) bool {
		return r.Tank.Name == tank && slices.ContainsFunc(r.Findings, func(l alerts.Finding) bool { return l.Parameter.Name == parameter })
	})
}
