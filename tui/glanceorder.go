package tui

import (
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/tui/part"
)

// orderedMsg says that the book has a tank's new order, or why not.
type orderedMsg struct{ err error }

// swap lets two lines of a tank change places, and keeps that as the tank's order of parameters.
func (d *inTurn) swap(r *alerts.Report, i, j int, book *logbook.Book) tea.Cmd {
	r.Findings[i], r.Findings[j] = r.Findings[j], r.Findings[i]
	var order logbook.Order
	for _, l := range r.Findings {
		order = append(order, l.Parameter.Name)
	}
	for _, name := range r.Tank.Order { // of what has no line yet
		if !slices.Contains(order, name) {
			order = append(order, name)
		}
	}
	r.Tank.Order = order
	tank, turn := r.Tank.Name, d.turn()
	return func() tea.Msg {
		return orderedMsg{d.write(turn, func() error {
			_, err := part.ChangeTank(book, tank, func(t *logbook.Tank) { t.Order = order })
			return err
		})}
	}
}
