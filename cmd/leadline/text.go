package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"leadline/logbook"
)

// columns prints rows of text in columns as wide as their widest cell, two spaces apart. Cells are cleaned, since they
// may hold what others wrote.
type columns struct{ rows [][]string }

func (c *columns) add(cells ...string) {
	row := make([]string, len(cells))
	for i, cell := range cells {
		row[i] = oneLine(cell)
	}
	c.rows = append(c.rows, row)
}

// print writes the rows, each after the indent.
func (c *columns) print(a *app, indent string) {
	var widths []int
	for _, row := range c.rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], ansi.StringWidth(cell))
		}
	}
	for _, row := range c.rows {
		var b strings.Builder
		b.WriteString(indent)
		for i, cell := range row {
			b.WriteString(cell)
			b.WriteString(strings.Repeat(" ", widths[i]-ansi.StringWidth(cell)+2))
		}
		fmt.Fprintln(a.out, strings.TrimRight(b.String(), " "))
	}
}

// printf prints a line of results, cleaned.
func (a *app) printf(format string, args ...any) {
	fmt.Fprintln(a.out, cleanLines(fmt.Sprintf(format, args...)))
}

// readingText is a reading as it was typed, with its unit.
func readingText(r logbook.Reading) string { return strings.TrimSpace(r.Text + " " + r.Unit) }

// whenText is a moment as people read it, in the zone it was logged with.
func whenText(t time.Time) string { return t.Format("2006-01-02 15:04") }

// dayText is a moment's day.
func dayText(t time.Time) string {
	if t.IsZero() {
		return "–"
	}
	return t.Format("2 Jan 2006")
}

// plural is a count with its noun.
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// kindWords is the name of a sort of record as people say it.
func kindWords(k logbook.Kind) string { return "a " + strings.ReplaceAll(string(k), "_", " ") }

// kindCounts lists how many records of each sort there are, in brackets behind a space; "" for none.
func kindCounts(byKind map[logbook.Kind]int) string {
	var kinds []string
	for kind, n := range byKind {
		kinds = append(kinds, kindCount(kind, n))
	}
	if len(kinds) == 0 {
		return ""
	}
	slices.Sort(kinds)
	return " (" + strings.Join(kinds, ", ") + ")"
}

// kindCount is a count of records of a sort.
func kindCount(k logbook.Kind, n int) string {
	one := strings.ReplaceAll(string(k), "_", " ")
	switch k {
	case logbook.KindChoreDone:
		return plural(n, "chore done", "chores done")
	case logbook.KindDosing:
		return plural(n, "dosing", "dosing entries")
	default:
		return plural(n, one, one+"s")
	}
}
