package words

import (
	"cmp"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"
)

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
