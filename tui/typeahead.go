package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"leadline/tui/part"
)

// typeahead are keys that wait for what the key before them leads to: a form that it opens takes them as text. Where
// several keys come in one read, by a key held down or a fast hand, the later ones wait; and so does every key that comes
// while any waits, or it would overtake them. Keys typed before the first screen is there wait for it.
type typeahead struct {
	waiting bool
	keys    []tea.KeyMsg
}

// typed takes keys as they come from the terminal.
func (a *app) typed(msg tea.KeyMsg) tea.Cmd {
	if (a.ahead.waiting || a.top().About().Waits) && msg.Type != tea.KeyCtrlC {
		a.ahead.waiting = true
		a.ahead.keys = append(a.ahead.keys, msg)
		return nil
	}
	a.ahead = typeahead{keys: []tea.KeyMsg{msg}}
	return a.nextKey()
}

// nextKey presses the first key that waits.
func (a *app) nextKey() tea.Cmd {
	if len(a.ahead.keys) == 0 {
		return nil
	}
	msg := a.ahead.keys[0]
	a.ahead.keys = a.ahead.keys[1:]
	if first, rest, several := part.Parted(msg); several && !a.top().About().Typing {
		msg, a.ahead.keys = first, append([]tea.KeyMsg{rest}, a.ahead.keys...)
	}
	a.ahead.waiting = len(a.ahead.keys) > 0
	if !a.ahead.waiting {
		return a.press(msg)
	}
	return tea.Sequence(a.press(msg), part.GoOn)
}
