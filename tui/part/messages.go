package part

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
)

// Messages between screens and the root model.
type (
	OpenMsg    struct{ Want Want }     // show this on top
	BackMsg    struct{ Notice string } // leave the screen on top
	ExportMsg  struct{}                // list what the screen can export
	NoticeMsg  struct{ Text string }   // something to tell in passing
	FailedMsg  struct{ Err error }     // a command failed
	ChangedMsg struct{}                // the book changed, here or in another process
	KeepMsg    struct{}                // the program ends: put what is half typed into the book
	TickMsg    struct{ At time.Time }  // a second has gone by
	AnswerMsg  struct {                // what the screen of a page asked for; nothing where it was left meanwhile
		To   *Page
		Take func() tea.Cmd
	}
	ReplaceMsg struct { // show another screen in the place of this one
		Old    Screen
		Want   Want
		Notice string
	}
	StampMsg struct { // what the book's stamp is now, or why it cannot be read
		Stamp logbook.Stamp
		Err   error
	}
	DoneMsg struct { // a screen has done what it was for: leave it and say so
		S       Screen // nil: none is to be left
		Notice  string
		Changed bool // the book
	}
)

// Commands of the library that send a message; Opens gives a row of a table one.
func Open(w Want) tea.Cmd         { return func() tea.Msg { return OpenMsg{w} } }
func Opens(w Want) func() tea.Cmd { return Always(Open(w)) }
func Back() tea.Msg               { return BackMsg{} }
func AskExport() tea.Msg          { return ExportMsg{} }
func Notice(text string) tea.Cmd  { return func() tea.Msg { return NoticeMsg{text} } }
func TickEvery(d time.Duration) tea.Cmd {
	return tea.Tick(d, func(t time.Time) tea.Msg { return TickMsg{t} })
}

// NextKeyMsg says that what the key before leads to is there.
type NextKeyMsg struct{}

// GoOn lets the keys go on that wait.
func GoOn() tea.Msg { return NextKeyMsg{} }
