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

func (t *typeahead) wait(msg tea.KeyMsg) { t.waiting, t.keys = true, append(t.keys, msg) }

// next takes the first key that waits. Where text is typed, what came in one read stays together.
func (t *typeahead) next(typing bool) (msg tea.KeyMsg, ok bool) {
	if len(t.keys) == 0 {
		return msg, false
	}
	msg, t.keys = t.keys[0], t.keys[1:]
	if first, rest, several := part.Parted(msg); several && !typing {
		msg, t.keys = first, append([]tea.KeyMsg{rest}, t.keys...)
	}
	t.waiting = len(t.keys) > 0
	return msg, true
}
