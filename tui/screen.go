package tui

import (
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// screen is one page of the interface. The root model gives it the body between the title and the help line.
type screen interface {
	Init() tea.Cmd
	Update(tea.Msg) tea.Cmd // what comes from elsewhere; keys and the mouse come by the methods below
	View() string
	base() *page
	about() about
	commands() []command                     // its table, as things are now
	typed(msg tea.KeyMsg) tea.Cmd            // a key of no command, or pasted text, where text is typed
	click(row, column int)                   // within the body
	wheel(row, by int) (cmd tea.Cmd, _ bool) // false: the wheel does what the keys up and down do
}

// about is what the root model has to know of a screen as it stands.
type about struct {
	title   string
	zone    *time.Location // of the clock in the title; nil: that of the screen beneath
	typing  bool           // letters are text now, not commands
	unsaved bool           // something typed is nowhere else yet
	waits   bool           // there is nothing yet that a key could be about
	place   place          // where it is, to be opened again; without a tank: that of the screen beneath
	shows   Exported       // what of it can be exported; without a tank: nothing
}

// page is what all screens have.
type page struct {
	w, h    int
	loaded  bool   // the first answer of the book has come
	failed  string // why it has not come; mostly what cannot be read once cannot be read for another screen either
	message string // what the last key led to, until the next one
	asked   string // the command that asked a question at the last key
}

func (p *page) base() *page                  { return p }
func (*page) typed(tea.KeyMsg) tea.Cmd       { return nil }
func (*page) click(int, int)                 {}
func (*page) wheel(int, int) (tea.Cmd, bool) { return nil, false }

// reading is what is shown until the first answer of the book has come.
func (p *page) reading(t *theme) string {
	if p.failed == "" {
		return "\n  " + t.Dim.Render("reading the book…")
	}
	return "\n" + strings.Join(hang("! "+p.failed, t.Bad, 2, p.w, 0), "\n")
}
