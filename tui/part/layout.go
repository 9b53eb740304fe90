package part

import (
	"slices"
	"strings"

	"leadline/alerts/words"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
)

// Clean makes text of others safe and measurable.
func Clean(s string) string { return words.OneLine(s) }

// Width counts cells.
func Width(s string) int { return lipgloss.Width(s) }

// Cut shortens s to w cells.
func Cut(s string, w int) string {
	if w <= 0 {
		return ""
	}
	return ansi.Truncate(s, w, "…")
}

// Pad makes s exactly w cells wide, text to the left.
func Pad(s string, w int) string {
	s = Cut(s, w)
	return s + strings.Repeat(" ", max(0, w-Width(s)))
}

// PadLeft makes s exactly w cells wide, text to the right.
func PadLeft(s string, w int) string {
	s = Cut(s, w)
	return strings.Repeat(" ", max(0, w-Width(s))) + s
}

// Hang wraps text behind a margin of so many blanks, in rows of at most w cells with it.
func Hang(text string, style Ink, margin, w, most int) []string {
	rows := words.Wrap(text, w-margin, most)
	for i := range rows {
		rows[i] = strings.Repeat(" ", margin) + style.Render(rows[i])
	}
	return rows
}

// Fit cuts a picture to a size: no row wider, no more rows.
func Fit(s string, w, h int) string {
	if w <= 0 || h <= 0 {
		return ""
	}
	lines := strings.Split(s, "\n")
	return strings.Join(words.Of(lines[:min(h, len(lines))], func(l string) string { return Cut(l, w) }), "\n")
}

// Fill is fit with exactly h rows.
func Fill(s string, w, h int) string {
	s = Fit(s, w, h)
	if n := strings.Count(s, "\n") + 1; n < h {
		s += strings.Repeat("\n", h-n)
	}
	return s
}

// OverFoot is a body of h rows whose last are the foot.
func OverFoot(rows, foot []string, h int) string {
	return strings.Join(slices.Concat(rows, make([]string, max(0, h-len(rows)-len(foot))), foot), "\n")
}

// Beside puts two texts at the two ends of a row; the right one gives way first.
func Beside(left, right string, w int) string {
	gap := w - Width(left) - Width(right)
	if gap < 1 {
		return Cut(left, w)
	}
	return left + strings.Repeat(" ", gap) + right
}

// SideBySide sets blocks of rows next to each other, each in w cells, gap cells apart.
func SideBySide(blocks [][]string, w, gap int) (out []string) {
	for i, b := range blocks {
		for r, cell := range b {
			if r == len(out) {
				out = append(out, "")
			}
			out[r] = strings.TrimRight(Pad(out[r], i*(w+gap))+Cut(cell, w), " ")
		}
	}
	return out
}

// Window is the run of rows of a list of n to show in h rows so that the chosen one is in sight, moving as little as
// possible from the present top.
func Window(top, chosen, n, h int) int {
	if h <= 0 || n <= h {
		return 0
	}
	return max(0, min(top, chosen, n-h), chosen-h+1)
}
