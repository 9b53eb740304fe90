package tui

import (
	"slices"
	"sync"
	"sync/atomic"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// inTurn keeps writings of one thing in order, though every command runs on its own: each takes a turn when it is given
// out, and one whose turn was overtaken by a newer one does nothing.
type inTurn struct {
	mu     sync.Mutex
	newest atomic.Int64
}

func (d *inTurn) turn() int64 { return d.newest.Add(1) }

func (d *inTurn) write(turn int64, fn func() error) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if turn < d.newest.Load() {
		return nil
	}
	return fn()
}

// swap lets two lines of a tank change places, and keeps that as the tank's order of parameters.
func (g *glance) swap(r *alerts.Report, i, j int) tea.Cmd {
	r.Findings[i], r.Findings[j] = r.Findings[j], r.Findings[i]
	order := logbook.Order(words.Of(r.Findings, func(l alerts.Finding) string { return l.Parameter.Name }))
	for _, name := range r.Tank.Order { // of what has no line yet
		if !slices.Contains(order, name) {
			order = append(order, name)
		}
	}
	r.Tank.Order = order
	tank, turn := r.Tank.Name, g.orders.turn()
	write := g.Write(func(b *logbook.Book) (tea.Msg, error) {
		return nil, g.orders.write(turn, func() error {
			_, err := part.ChangeTank(b, tank, func(t *logbook.Tank) { t.Order = order })
			return err
		})
	})
	return tea.Sequence(write, func() tea.Msg { return part.AnswerMsg{To: &g.Page, Take: g.Init} })
}
