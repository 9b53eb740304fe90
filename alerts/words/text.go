// Package words is how the program speaks: numbers with their units, days and ages, entries, methods and supplements in
// words, and the laying out of text in lines and tables. Both front ends and package alerts use it, so that a thing has
// one wording wherever it is said. What a rule of alerts finds, it says itself, with these.
package words

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"leadline/logbook"
)

// OneLine is text of others, safe to draw and print on one line: cleaned, and its runs of blanks made one.
func OneLine(s string) string { return logbook.Clean(strings.Join(strings.Fields(s), " ")) }

// With is text of others behind what leads to it; "" where there is none.
func With(lead, text string) string {
	if text = OneLine(text); text == "" {
		return ""
	}
	return lead + text
}

// Plural is a count with its noun.
func Plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// Of gathers one thing of every item, such as its name.
func Of[T, U any](items []T, one func(T) U) []U {
	out := make([]U, len(items))
	for i, x := range items {
		out[i] = one(x)
	}
	return out
}

// Those are the items of a kind, in their order.
func Those[T any](items []T, are func(T) bool) (some []T) {
	for _, x := range items {
		if are(x) {
			some = append(some, x)
		}
	}
	return some
}

// Once are the items in their order, those that are equal once.
func Once[T comparable](items []T) (once []T) {
	for _, x := range items {
		if !slices.Contains(once, x) {
			once = append(once, x)
		}
	}
	return once
}

// First is the first item that is of a kind; false where none is, and then the item is empty.
func First[T any](items []T, is func(T) bool) (x T, found bool) {
	if i := slices.IndexFunc(items, is); i >= 0 {
		return items[i], true
	}
	return x, false
}

// List joins one text of every item: "calcium, magnesium".
func List[T any](items []T, text func(T) string) string { return strings.Join(Of(items, text), ", ") }

// Wrap breaks text at its blanks into lines of at most w cells; beyond most lines the last one ends in an ellipsis.
// most 0: no limit. A hyphen is no place to break: it may be the sign of a number.
func Wrap(text string, w, most int) []string {
	if w <= 0 {
		return nil
	}
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		switch {
		case line == "":
			line = word
		case ansi.StringWidth(line)+1+ansi.StringWidth(word) <= w:
			line += " " + word
		default:
			lines = append(lines, line)
			line = word
		}
		for ansi.StringWidth(line) > w {
			head := ansi.Truncate(line, w, "")
			if head == "" { // a wide character in a column of one
				return lines
			}
			lines = append(lines, head)
			line = strings.TrimPrefix(line, head)
		}
	}
	lines = append(lines, line)
	if most > 0 && len(lines) > most {
		rest := strings.Join(lines[most-1:], " ")
		lines = append(lines[:most-1:most-1], ansi.Truncate(rest, w, "…"))
	}
	return lines
}

// Hang is Wrap with a sign or blanks before the first line, and before all others as many blanks as w leaves: both
// leads count in w.
func Hang(first, rest, text string, w, most int) []string {
	lines := Wrap(text, w-max(ansi.StringWidth(first), ansi.StringWidth(rest)), most)
	for i := range lines {
		if i == 0 {
			lines[i] = first + lines[i]
		} else {
			lines[i] = rest + lines[i]
		}
	}
	return lines
}

func longestWord(text string) (w int) {
	for _, word := range strings.Fields(text) {
		w = max(w, ansi.StringWidth(word))
	}
	return w
}

// columnGap is what stands between a name and what is said of it, as in the help of flags.
var columnGap = regexp.MustCompile(`^ *\S+(?: \S+)* {2,}`)

// Fold breaks every line of a text that is longer than w cells between its words. What follows hangs under the line's
// last column, or behind its first word where it has none. w 0: no limit.
func Fold(text string, w int) []string {
	const room = 24 // cells, the fewest for a column
	var lines []string
	for _, line := range strings.Split(text, "\n") {
		if w <= 0 || ansi.StringWidth(line) <= w {
			lines = append(lines, line)
			continue
		}
		lead := line[:len(line)-len(strings.TrimLeft(line, " "))]
		first, rest := lead, lead+"    "
		if name := columnGap.FindString(line); name != "" {
			line = line[len(name):]
			if width := ansi.StringWidth(name); width+max(room, longestWord(line)) <= w {
				first, rest = name, strings.Repeat(" ", width)
			} else {
				lines = append(lines, strings.TrimRight(name, " "))
				first = rest
			}
		}
		lines = append(lines, Hang(first, rest, line, w, 0)...)
	}
	return lines
}

// Look is how a line stands out where there is colour. It says nothing that the words do not.
type Look int

const (
	Quiet  Look = iota
	Head        // a title, or the heads of columns
	Notice      // of what alerts of these severities are about
	Warning
	Urgent
)

// Table lays rows out in columns as wide as their widest cell, two blanks apart. Its cells may hold what others wrote.
type Table struct {
	Ranks []int // of the columns: where there is no room, those of the highest rank are left out first, those of 0 never
	rows  []row
}

type row struct {
	look  Look
	cells []string
}

// Add adds a row.
func (t *Table) Add(cells ...string) { t.AddAs(Quiet, cells...) }

// AddAs adds a row that stands out.
func (t *Table) AddAs(look Look, cells ...string) {
	t.rows = append(t.rows, row{look, Of(cells, OneLine)})
}

// Lines are the rows, each behind the indent, in lines of at most w cells, of which ink draws what stands out; w 0: no
// limit, ink nil: nothing is drawn. Where columns have to go or to be narrower, a cell goes on below itself.
func (t Table) Lines(indent string, w int, ink func(Look, string) string) []string {
	columns, widths := t.fitted(w - ansi.StringWidth(indent))
	var lines []string
	for _, r := range t.rows {
		var drawn []string
		at := 0
		for i, c := range columns {
			if c < len(r.cells) {
				parts := []string{r.cells[c]}
				if ansi.StringWidth(r.cells[c]) > widths[i] {
					parts = Wrap(r.cells[c], widths[i], 0)
				}
				for n, part := range parts {
					if n == len(drawn) {
						drawn = append(drawn, indent)
					}
					drawn[n] += strings.Repeat(" ", len(indent)+at-ansi.StringWidth(drawn[n])) + part
				}
			}
			at += widths[i] + 2
		}
		for _, line := range drawn {
			if line = strings.TrimRight(line, " "); ink != nil {
				line = ink(r.look, line)
			}
			lines = append(lines, line)
		}
	}
	return lines
}

// fitted chooses the columns that there is room for in w cells, and their widths. A column of much text is narrowed
// before others are left out for it, the widest first, and no word is broken while there is another way.
func (t Table) fitted(w int) (columns, widths []int) {
	const room = 24 // cells, the fewest that much text is narrowed to
	var whole, longest []int
	for _, r := range t.rows {
		for i, cell := range r.cells {
			if i == len(whole) {
				columns, whole, longest = append(columns, i), append(whole, 0), append(longest, 0)
			}
			whole[i] = max(whole[i], ansi.StringWidth(cell))
			longest[i] = max(longest[i], longestWord(cell))
		}
	}
	rank := func(c int) int {
		if c < len(t.Ranks) {
			return t.Ranks[c]
		}
		return 0
	}
	spare := func(c int) int {
		if whole[c] > longest[c] {
			return whole[c]
		}
		return 0
	}
	over := func(width func(c int) int) int {
		sum := -2
		for _, c := range columns {
			sum += width(c) + 2
		}
		return sum - w
	}
	for w > 0 && over(func(c int) int { return min(whole[c], max(longest[c], room)) }) > 0 {
		worst := slices.MaxFunc(columns, func(a, b int) int { return rank(a) - rank(b) })
		if rank(worst) == 0 {
			break
		}
		columns = slices.DeleteFunc(columns, func(c int) bool { return c == worst })
	}
	for w > 0 && over(func(c int) int { return whole[c] }) > 0 {
		whole[slices.MaxFunc(columns, func(a, b int) int { return cmp.Or(spare(a)-spare(b), whole[a]-whole[b]) })]--
	}
	return columns, Of(columns, func(c int) int { return whole[c] })
}
