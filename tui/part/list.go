package part

import tea "github.com/charmbracelet/bubbletea"

// PastAny is a line behind the end of every list.
const PastAny = 1 << 30

// Moves are the keys that go through lines, from line at; to gets the line they lead to, which may lie past either end. page
// is how many are in sight, and a page key moves by as many. foot are the places of down and of up in the footer.
func Moves(group string, at, page int, to func(line int) tea.Cmd, foot ...int) []Command {
	page = max(1, page)
	lead := func(line int) func() tea.Cmd { return func() tea.Cmd { return to(line) } }
	rows := []Command{
		On("j down", "down", lead(at+1)), On("k up", "up", lead(at-1)),
		On("pgdown ctrl+f", "page down", lead(at+page)), On("pgup ctrl+b", "page up", lead(at-page)),
		On("g home", "first", lead(0)), On("G end", "last", lead(PastAny)),
	}
	for i := range rows {
		rows[i].Mute = true
	}
	for i, place := range foot {
		rows[i].Place = place
	}
	Under(group, rows[:2]...)
	return rows
}

// List is a column of lines with a chosen one.
type List struct {
	At, Top int // the chosen line, and the first that is in sight
	Room    int // lines in sight at most
	Row     int // the row of the body the list begins in, for the mouse
}

// Clamp keeps the chosen line among n.
func (l *List) Clamp(n int) { l.At = max(0, min(l.At, n-1)) }

// Moves are the keys that go through the n lines of the list.
func (l *List) Moves(group string, n int, foot ...int) []Command {
	return Moves(group, l.At, l.Room, func(line int) tea.Cmd {
		l.At = line
		l.Clamp(n)
		return nil
	}, foot...)
}

// Draw draws as many of n lines as there is room for, from row on, with the chosen one among them.
func (l *List) Draw(row, n, room int, line func(i int) string) []string {
	l.Row, l.Room, l.Top = row, room, Window(l.Top, l.At, n, room)
	var out []string
	for i := l.Top; i < min(n, l.Top+room); i++ {
		out = append(out, line(i))
	}
	return out
}

// Hit chooses the line that stands in a row of the body, where there is one.
func (l *List) Hit(row, n int) {
	if i := l.Top + row - l.Row; row >= l.Row && i < n {
		l.At = i
	}
}
