package tui

import (
	"cmp"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/tui/part"
)

// reopen opens on top of the glance what the keeper had there, where the book has such a thing still.
func reopen(reports []alerts.Report, p part.Place) tea.Cmd {
	tank, _ := tankOf(reports, p.Tank)
	switch p.Screen {
	case part.OnChart:
		if !hasLine(reports, p.Tank, p.Parameter) {
			return nil
		}
		if !hasLine(reports, cmp.Or(p.OverTank, p.Tank), p.Over) {
			p.Over, p.OverTank = "", ""
		}
		return part.Open(part.ChartOf{Tank: tank, As: p})
	case part.OnAlerts:
		return part.Open(part.AlertsOf{})
	case part.OnJournal:
		return part.Open(part.JournalOf{Tank: tank})
	case part.OnUpkeep:
		return part.Open(part.UpkeepOf{Tank: tank})
	case part.OnChanges:
		return part.Open(part.ChangesOf{Tank: tank})
	case part.OnYear:
		return part.Open(part.YearOf{Tank: tank, As: p})
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
