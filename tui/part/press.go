package part

import (
	tea "github.com/charmbracelet/bubbletea"
)

// Press runs what a key stands for: a row of the screen's table, or else one of more; where text is typed, any other key is
// text. known is false for a key without a meaning.
func Press(s Screen, msg tea.KeyMsg, more ...Command) (cmd tea.Cmd, known bool) {
	p := s.Base()
	asked := p.Asked
	p.Message, p.Asked = "", ""
	for _, c := range append(s.Commands(), more...) {
		if !c.has(msg) {
			continue
		}
		known = true
		switch {
		case c.Off:
			continue
		case c.asks != "" && asked != c.Words:
			p.Asked = c.Words
			return Notice(c.asks), true
		}
		return c.Do(), true
	}
	if s.About().Typing {
		return s.Typed(msg), true
	}
	return nil, known
}

// Perform does what the row with some words says, where it can be done.
func Perform(s Screen, words string) tea.Cmd {
	for _, c := range s.Commands() {
		if c.Words == words && !c.Off {
			return c.Do()
		}
	}
	return nil
}

// Parted takes the first key off several that came in one read.
func Parted(msg tea.KeyMsg) (first, rest tea.KeyMsg, several bool) {
	if msg.Type != tea.KeyRunes || msg.Paste || msg.Alt || len(msg.Runes) < 2 {
		return msg, msg, false
	}
	first, rest = msg, msg
	first.Runes, rest.Runes = msg.Runes[:1], msg.Runes[1:]
	return first, rest, true
}
