package tui

import (
	"testing"

	tea "github.com/charmbracelet/bubbletea"
)

// Keys that come after several in one read do not overtake them: a search typed in one go is found as it was typed.
func TestLaterKeysDoNotOvertake(t *testing.T) {
	b := tankBook(t)
	tm := run(t, b)
	waitFor(t, tm, "alkalinity")
	runes := func(s string) { tm.Send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(s)}) }
	runes("J/alka")
	runes("linity")
	tm.Send(keyNamed(" "))
	runes("8.3")
	tm.Send(keyNamed("enter"))
	waitFor(t, tm, "6 lines")
	end(t, tm)
}
