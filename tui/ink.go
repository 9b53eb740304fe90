package tui

import (
	"strings"

	"github.com/charmbracelet/lipgloss"
)

// ink is a style as what it writes before and after a text of one row. The library finds that out anew for every text, with
// paddings and margins that nothing here has; it was nearly half the time of a chart, which has hundreds of runs of cells.
type ink struct{ before, after string }

func newInk(s lipgloss.Style) ink {
	before, after, _ := strings.Cut(s.Render("x"), "x")
	return ink{before, after}
}

func (k ink) Render(text string) string {
	if text == "" {
		return ""
	}
	return k.before + text + k.after
}
