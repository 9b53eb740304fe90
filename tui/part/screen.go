// Package part is what screens and forms are made of: how they are told to the frame, their table of keys, what they
// ask of each other, lists and fields, styles and layout. It knows no screen.
package part

import (
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// Screen is one page of the interface. The root model gives it the body between the title and the help line.
type Screen interface {
	Init() tea.Cmd
	Update(tea.Msg) tea.Cmd // what comes from elsewhere; keys and the mouse come by the methods below
	View() string
	Base() *Page
	About() About
	Commands() []Command                     // its table, as things are now
	Typed(msg tea.KeyMsg) tea.Cmd            // a key of no command, or pasted text, where text is typed
	Click(row, column int)                   // within the body
	Wheel(row, by int) (cmd tea.Cmd, _ bool) // false: the wheel does what the keys up and down do
}

// About is what the root model has to know of a screen as it stands.
type About struct {
	Title   string
	Zone    *time.Location // of the clock in the title; nil: that of the screen beneath
	Typing  bool           // letters are text now, not commands
	Unsaved bool           // something typed is nowhere else yet
	Waits   bool           // there is nothing yet that a key could be about
	Place   Place          // where it is, to be opened again; without a tank: that of the screen beneath
	Shows   Exported       // what of it can be exported; without a tank: nothing

	Cautions []string // in full, what it warns of in short; the help has them
}

// Page is what all screens have.
type Page struct {
	W, H    int
	Loaded  bool   // the first answer of the book has come
	Failed  string // why it has not come; mostly what cannot be read once cannot be read for another screen either
	Message string // what the last key led to, until the next one
	Asked   string // the command that asked a question at the last key
	asked   int    // questions to the book so far: an answer carries its number, and a late one is dropped
}

func (p *Page) Base() *Page                  { return p }
func (*Page) Typed(tea.KeyMsg) tea.Cmd       { return nil }
func (*Page) Click(int, int)                 {}
func (*Page) Wheel(int, int) (tea.Cmd, bool) { return nil, false }

// Reading is what is shown until the first answer of the book has come.
func (p *Page) Reading(t *Theme) string {
	if p.Failed == "" {
		return "\n  " + t.Dim.Render("reading the book…")
	}
	return "\n" + strings.Join(Hang("! "+p.Failed, t.Bad, 2, p.W, 0), "\n")
}
