package part

import (
	"strings"

	"github.com/charmbracelet/lipgloss"
)

// Ink is a style as what it writes before and after a text of one row. The library finds that out anew for every text, with
// paddings and margins that nothing here has; it was nearly half the time of a chart, which has hundreds of runs of cells.
type Ink struct{ before, after string }

func newInk(s lipgloss.Style) Ink {
	before, after, _ := strings.Cut(s.Render("x"), "x")
	return Ink{before, after}
}

// Render writes a text of one row.
func (k Ink) Render(text string) string {
	if text == "" {
		return ""
	}
	return k.before + text + k.after
}
