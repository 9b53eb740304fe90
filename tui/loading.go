package tui

import "strings"

// loading is what a screen shows until the first answer of the book has come.
type loading struct {
	loaded bool
	failed string // why it has not come
}

// fail notes a failure. It may be that of another screen's question, but what cannot be read once mostly cannot be read.
func (l *loading) fail(why string) { l.failed = why }

func (l *loading) view(t *theme, w int) string {
	if l.failed == "" {
		return "\n  " + t.Dim.Render("reading the book…")
	}
	rows := []string{""}
	for _, row := range hang("! "+l.failed, w, 0) {
		rows = append(rows, t.Bad.Render(row))
	}
	return strings.Join(rows, "\n")
}
