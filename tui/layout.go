package tui

import (
	"leadline/alerts/words"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
)

// clean makes text of others safe and measurable.
func clean(s string) string { return words.OneLine(s) }

func width(s string) int { return lipgloss.Width(s) }

// cut shortens s to w cells.
func cut(s string, w int) string {
	if w <= 0 {
		return ""
	}
	return ansi.Truncate(s, w, "…")
}

// pad makes s exactly w cells wide, text to the left.
func pad(s string, w int) string {
	s = cut(s, w)
	return s + strings.Repeat(" ", max(0, w-width(s)))
}

// padLeft makes s exactly w cells wide, text to the right.
func padLeft(s string, w int) string {
	s = cut(s, w)
	return strings.Repeat(" ", max(0, w-width(s))) + s
}

// hang wraps text behind a margin of so many blanks, in rows of at most w cells with it.
func hang(text string, style ink, margin, w, most int) []string {
	rows := words.Wrap(text, w-margin, most)
	for i := range rows {
		rows[i] = strings.Repeat(" ", margin) + style.Render(rows[i])
	}
	return rows
}

// fit cuts a picture to a size: no row wider, no more rows.
func fit(s string, w, h int) string {
	if w <= 0 || h <= 0 {
		return ""
	}
	lines := strings.Split(s, "\n")
	if len(lines) > h {
		lines = lines[:h]
	}
	for i, l := range lines {
		if width(l) > w {
			lines[i] = cut(l, w)
		}
	}
	return strings.Join(lines, "\n")
}

// fill is fit with exactly h rows.
func fill(s string, w, h int) string {
	s = fit(s, w, h)
	if n := strings.Count(s, "\n") + 1; n < h {
		s += strings.Repeat("\n", h-n)
	}
	return s
}

// beside puts two texts at the two ends of a row; the right one gives way first.
func beside(left, right string, w int) string {
	gap := w - width(left) - width(right)
	if gap < 1 {
		return cut(left, w)
	}
	return left + strings.Repeat(" ", gap) + right
}

// sideBySide sets blocks of rows next to each other, each in w cells, gap cells apart.
func sideBySide(blocks [][]string, w, gap int) []string {
	rows := 0
	for _, b := range blocks {
		rows = max(rows, len(b))
	}
	out := make([]string, rows)
	for r := range out {
		var line strings.Builder
		for i, b := range blocks {
			cell := ""
			if r < len(b) {
				cell = b[r]
			}
			if i == len(blocks)-1 {
				line.WriteString(cut(cell, w))
				break
			}
			line.WriteString(pad(cell, w) + strings.Repeat(" ", gap))
		}
		out[r] = strings.TrimRight(line.String(), " ")
	}
	return out
}

// window is the run of rows of a list of n to show in h rows so that the chosen one is in sight, moving as little as
// possible from the present top.
func window(top, chosen, n, h int) int {
	if h <= 0 || n <= h {
		return 0
	}
	top = min(top, n-h)
	if chosen < top {
		top = chosen
	}
	if chosen >= top+h {
		top = chosen - h + 1
	}
	return max(0, top)
}
