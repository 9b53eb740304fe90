package tui

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
)

// Messages between screens and the root model.
type (
	openMsg    struct{ want want }     // show this on top
	backMsg    struct{ notice string } // leave the screen on top
	exportMsg  struct{}                // list what the screen can export
	noticeMsg  struct{ text string }   // something to tell in passing
	failedMsg  struct{ err error }     // a command failed
	changedMsg struct{}                // the book changed, here or in another process
	keepMsg    struct{}                // the program ends: put what is half typed into the book
	tickMsg    struct{ at time.Time }  // a second has gone by
	replaceMsg struct {                // show another screen in the place of this one
		old  screen
		want want
	}
	stampMsg struct { // what the book's stamp is now, or why it cannot be read
		stamp logbook.Stamp
		err   error
	}
	doneMsg struct { // a screen has done what it was for: leave it and say so
		s       screen
		notice  string
		changed bool // the book
	}
)

func open(w want) tea.Cmd         { return func() tea.Msg { return openMsg{w} } }
func opens(w want) func() tea.Cmd { return always(open(w)) }
func back() tea.Msg               { return backMsg{} }
func askExport() tea.Msg          { return exportMsg{} }
func notice(text string) tea.Cmd  { return func() tea.Msg { return noticeMsg{text} } }
func tickEvery(d time.Duration) tea.Cmd {
	return tea.Tick(d, func(t time.Time) tea.Msg { return tickMsg{t} })
}
