package tui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// pageLines is how many lines of a list one press of a page key moves by.
const pageLines = 10

// moved is where a key of all screens leads in a list that ends at last, from line at; it may lead past either end. ok says
// whether it was such a key.
func moved(msg tea.KeyMsg, k allKeys, at, last int) (to int, ok bool) {
	switch {
	case key.Matches(msg, k.Down):
		return at + 1, true
	case key.Matches(msg, k.Up):
		return at - 1, true
	case key.Matches(msg, k.PageDown):
		return at + pageLines, true
	case key.Matches(msg, k.PageUp):
		return at - pageLines, true
	case key.Matches(msg, k.First):
		return 0, true
	case key.Matches(msg, k.Last):
		return last, true
	default:
		return at, false
	}
}
