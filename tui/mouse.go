package tui

import (
	tea "github.com/charmbracelet/bubbletea"
)

// The mouse is a convenience for those who ask for it: the wheel moves through lists and time, a click chooses a line.
// All of it can be done by keys. Where it is on, text is marked with the terminal's own key for that, mostly shift.

const wheelLines = 3

func (a *app) mouse(msg tea.MouseMsg) tea.Cmd {
	row, top := msg.Y-1, a.top() // below the title
	if row < 0 || row >= a.bodyHeight() || a.ahead.waiting || msg.Action != tea.MouseActionPress {
		return nil
	}
	switch msg.Button {
	case tea.MouseButtonLeft:
		if !top.About().Typing {
			top.Click(row, msg.X)
		}
	case tea.MouseButtonWheelUp:
		return a.wheel(row, -1)
	case tea.MouseButtonWheelDown:
		return a.wheel(row, 1)
	}
	return nil
}

func (a *app) wheel(row, by int) tea.Cmd {
	if cmd, took := a.top().Wheel(row, by); took {
		return cmd
	}
	press, n := tea.KeyMsg{Type: tea.KeyDown}, wheelLines
	if by < 0 {
		press.Type = tea.KeyUp
	}
	if a.top().About().Typing {
		n = 1 // from field to field
	}
	var cmds []tea.Cmd
	for range n {
		cmds = append(cmds, a.press(press))
	}
	return tea.Batch(cmds...)
}
