// Package words is how the program speaks: numbers with their units, days and ages, entries, methods and supplements in
// words, and the laying out of text in lines and tables. Both front ends and package alerts use it, so that a thing has
// one wording wherever it is said. What a rule of alerts finds, it says itself, with these.
package words

import (
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
