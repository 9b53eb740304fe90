package tui

import (
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
	"leadline/tui/part"
)

// orderedMsg says that the book has a tank's new order, or why not.
type orderedMsg struct{ err error }

// moveLine moves the chosen line up or down among those of its tank, and keeps that as the tank's order of parameters.
func (g *glance) moveLine(by int) tea.Cmd {
	r := &g.reports[g.tank]
	to := g.line + by
	if to < 0 || to >= len(r.Findings) {
		return nil
	}
	r.Findings[g.line], r.Findings[to] = r.Findings[to], r.Findings[g.line]
	g.line = to
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
	g.asked = g.env.Ask() // what is on its way has the order from before
	tank, book, orders := r.Tank.Name, g.env.Book, &g.orders
	turn := orders.turn()
	return func() tea.Msg {
		return orderedMsg{orders.write(turn, func() error {
			_, err := part.ChangeTank(book, tank, func(t *logbook.Tank) { t.Order = order })
			return err
		})}
	}
}
