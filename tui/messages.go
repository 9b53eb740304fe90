package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
)

// Messages between screens and the root model.
type (
	openMsg    struct{ s screen }      // show this screen on top
	backMsg    struct{ notice string } // leave the screen on top
	replaceMsg struct{ old, s screen } // show another one in its place
	noticeMsg  struct{ text string }   // something to tell in passing
	failedMsg  struct{ err error }     // a command failed
	changedMsg struct{}                // the book changed, here or in another process
	tickMsg    struct{ at time.Time }  // a second has gone by
	stampMsg   struct {                // what the book's stamp is now, or why it cannot be read
		stamp logbook.Stamp
		err   error
	}
	doneMsg struct { // a screen has done what it was for: leave it and say so
		s       screen
		notice  string
		changed bool // the book
	}
)

func open(s screen) tea.Cmd      { return func() tea.Msg { return openMsg{s} } }
func back() tea.Msg              { return backMsg{} }
func notice(text string) tea.Cmd { return func() tea.Msg { return noticeMsg{text} } }
func tickEvery(d time.Duration) tea.Cmd {
	return tea.Tick(d, func(t time.Time) tea.Msg { return tickMsg{t} })
}
