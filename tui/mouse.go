package tui

import (
	tea "github.com/charmbracelet/bubbletea"
)

// The mouse is a convenience for those who ask for it: the wheel moves through lists and time, a click chooses a line. All
// of it can be done by keys. Where it is on, text is marked with the terminal's own key for that, mostly shift.

// clickable is a screen on which a click chooses the line that stands there; row and column count within the body.
type clickable interface{ click(row, column int) }

// wheelable is a screen on which the wheel does something else than the keys up and down; false: not there.
type wheelable interface {
	wheel(row, by int) (cmd tea.Cmd, took bool)
}

// wheelLines is how many lines of a list one turn of the wheel moves by.
const wheelLines = 3

func (a *app) mouse(msg tea.MouseMsg) tea.Cmd {
	row, top := msg.Y-1, a.top() // below the title
	if row < 0 || row >= a.bodyHeight() || a.ahead.waiting || msg.Action != tea.MouseActionPress {
		return nil
	}
	switch msg.Button {
	case tea.MouseButtonLeft:
		if c, is := top.(clickable); is && !top.CapturesText() {
			c.click(row, msg.X)
		}
	case tea.MouseButtonWheelUp:
		return a.wheel(row, -1)
	case tea.MouseButtonWheelDown:
		return a.wheel(row, 1)
	}
	return nil
}

func (a *app) wheel(row, by int) tea.Cmd {
	if w, is := a.top().(wheelable); is {
		if cmd, took := w.wheel(row, by); took {
			return cmd
		}
	}
	press, n := tea.KeyMsg{Type: tea.KeyDown}, wheelLines
	if by < 0 {
		press.Type = tea.KeyUp
	}
	if a.top().CapturesText() {
		n = 1 // from field to field
	}
	var cmds []tea.Cmd
	for range n {
		cmds = append(cmds, a.press(press))
	}
	return tea.Batch(cmds...)
}

// spot is where a line of the glance stands.
type spot struct {
	row, from, to int // its row and columns in the body
	tank, line    int
}

func (g *glance) click(row, column int) {
	for _, s := range g.spots {
		if s.row == row && s.from <= column && column < s.to {
			g.tank, g.line, g.settled, g.touched = s.tank, s.line, true, true
		}
	}
}

// shift moves the spots noted since some earlier moment.
func (g *glance) shift(since, rows, columns int) {
	for i := since; i < len(g.spots); i++ {
		s := &g.spots[i]
		s.row, s.from, s.to = s.row+rows, s.from+columns, s.to+columns
	}
}

// clickedOf is the line of a list that stands in a row; at where there is none.
func clickedOf(row, listRow, top, n, at int) int {
	if i := top + row - listRow; row >= listRow && i < n {
		return i
	}
	return at
}

func (p *parameterScreen) click(row, _ int) {
	if !p.why && !p.demand {
		p.at = clickedOf(row, p.listRow, p.top, len(p.rows), p.at)
	}
}

// wheel over the chart moves through time, the way the list below goes: downwards is earlier.
func (p *parameterScreen) wheel(row, by int) (tea.Cmd, bool) {
	if !p.loaded || row >= p.listRow {
		return nil, false
	}
	press := tea.KeyMsg{Type: tea.KeyLeft}
	if by < 0 {
		press.Type = tea.KeyRight
	}
	return p.press(press), true
}

func (j *journal) click(row, _ int) {
	j.at = clickedOf(row, j.listRow, j.top, len(j.shown()), j.at)
}
