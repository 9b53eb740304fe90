package tui

import (
	"testing"

	"leadline/tui/form"

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

// A word that comes in one read is text, though a key has that name.
func TestAWordIsNoKey(t *testing.T) {
	_, a, _ := formBook(t)
	do(a, "e")
	a.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("tab")})
	if f := a.top().(*form.Form); f.Value("what") != "tab" {
		t.Errorf("%q stands in field %d of the form", f.Value("what"), f.At)
	}
}
