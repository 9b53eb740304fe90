package app

import (
	"github.com/charmbracelet/x/term"
)

// PostDays is how far back a post tells what was done, and the CSV beside it reaches.
const PostDays = 56

// ChartDays is how far back a chart reaches.
const ChartDays = 112

// Columns is the width of the terminal, or 80 where there is none.
func (a *App) Columns() int {
	if f, ok := a.RawOut.(term.File); ok {
		if w, _, err := term.GetSize(f.Fd()); err == nil && w > 0 {
			return w
		}
	}
	return 80
}
