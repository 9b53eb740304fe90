package tui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// screen is one page of the interface. The root model gives it the body between the title and the help line.
type screen interface {
	Init() tea.Cmd
	Update(tea.Msg) tea.Cmd
	View() string
	SetSize(w, h int)
	Title() string
	Keys() []key.Binding // for the help line, most useful first
	Groups() []group     // for the help screen
	CapturesText() bool  // letters are text now, not commands
	HasUnsaved() bool    // something typed is not in the book yet
}

// keeper is a screen that can put what is typed into the book as a draft before the program ends.
type keeper interface {
	Keep() tea.Cmd
}

// size is what SetSize sets.
type size struct{ w, h int }

func (s *size) SetSize(w, h int) { s.w, s.h = w, h }

// reader is what every screen without text fields shares.
type reader struct{}

func (reader) CapturesText() bool { return false }
func (reader) HasUnsaved() bool   { return false }

// closer is a screen that can have something open over its usual view; it is closed before the screen is left.
type closer interface {
	Close() bool // false: nothing was open
}
