package tui

import tea "github.com/charmbracelet/bubbletea"

// pageLines is how many lines of a list one press of a page key moves by.
const pageLines = 10

// pastAny is a line behind the end of every list.
const pastAny = 1 << 30

// moves are the keys that go through lines, from line at; to gets the line they lead to, which may lie past either end. foot
// are the places of down and of up in the footer.
func moves(group string, at, page int, to func(line int) tea.Cmd, foot ...int) []command {
	lead := func(line int) func() tea.Cmd { return func() tea.Cmd { return to(line) } }
	rows := []command{
		on("j down", "down", lead(at+1)), on("k up", "up", lead(at-1)),
		on("pgdown ctrl+f", "page down", lead(at+page)), on("pgup ctrl+b", "page up", lead(at-page)),
		on("g home", "first", lead(0)), on("G end", "last", lead(pastAny)),
	}
	for i := range rows {
		rows[i].mute = true
	}
	for i, place := range foot {
		rows[i].place = place
	}
	under(group, rows[:2]...)
	return rows
}

// list is a column of lines with a chosen one.
type list struct {
	at, top int // the chosen line, and the first that is in sight
	row     int // the row of the body the list begins in, for the mouse
}

// clamp keeps the chosen line among n.
func (l *list) clamp(n int) { l.at = max(0, min(l.at, n-1)) }

// moves are the keys that go through the n lines of the list.
func (l *list) moves(group string, n int, foot ...int) []command {
	return moves(group, l.at, pageLines, func(line int) tea.Cmd {
		l.at = line
		l.clamp(n)
		return nil
	}, foot...)
}

// draw draws as many of n lines as there is room for, from row on, with the chosen one among them.
func (l *list) draw(row, n, room int, line func(i int) string) []string {
	l.row, l.top = row, window(l.top, l.at, n, room)
	var out []string
	for i := l.top; i < min(n, l.top+room); i++ {
		out = append(out, line(i))
	}
	return out
}

// hit chooses the line that stands in a row of the body, where there is one.
func (l *list) hit(row, n int) {
	if i := l.top + row - l.row; row >= l.row && i < n {
		l.at = i
	}
}
