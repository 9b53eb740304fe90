package part

import (
	"cmp"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/words"
)

// Command is one thing that can be done on a screen: a row of the screen's table. The keys themselves, the footer, help
// and the palette read the table.
type Command struct {
	Keys  []string // as the library names them, the one to show first; none: only the palette does it
	Words string
	Do    func() tea.Cmd
	Group string // the heading it stands under in help; "": help leaves it out
	Place int    // in the footer, counted from 1; 0: not there
	Off   bool   // cannot be done as things are: only help names it
	Mute  bool   // the palette leaves it out
	Far   bool   // the palette of the first screen offers it for the chosen line
	Other string // further words by which it is found
	asks  string // a question that the same key, pressed again, answers; "": none
}

// FootEnd is the place in the footer of the root model's own rows, behind those of nearly every screen.
const FootEnd = 50

// On is a row of a table; keys are parted by spaces, and the key of that name is "space".
func On(keys, words string, do func() tea.Cmd) Command {
	return Command{Keys: strings.Fields(keys), Words: words, Do: do}
}

// What else a row says; the fields of Command tell what each means.

func (c Command) Foot(place int) Command     { c.Place = place; return c }
func (c Command) When(can bool) Command      { c.Off = c.Off || !can; return c }
func (c Command) Muted() Command             { c.Mute = true; return c }
func (c Command) Afar() Command              { c.Far = true; return c }
func (c Command) Also(words string) Command  { c.Other = words; return c }
func (c Command) Asking(text string) Command { c.asks = text; return c }

// Under puts rows under a heading of help.
func Under(group string, rows ...Command) []Command {
	for i := range rows {
		rows[i].Group = group
	}
	return rows
}

// Just does something on the screen that leads to nothing else.
func Just(do func()) func() tea.Cmd {
	return func() tea.Cmd {
		do()
		return nil
	}
}

// Always returns a command of the library as it stands.
func Always(cmd tea.Cmd) func() tea.Cmd { return func() tea.Cmd { return cmd } }

func (c Command) has(msg tea.KeyMsg) bool {
	name := msg.String()
	if msg.Type == tea.KeyRunes && len(msg.Runes) > 1 { // a word in one read is text, though it may be the name of a key
		return false
	}
	if name == " " {
		name = "space"
	}
	return slices.Contains(c.Keys, name)
}

// Footed are the rows for the footer, in its order.
func Footed(table []Command) []Command {
	table = slices.DeleteFunc(table, func(c Command) bool { return c.Place == 0 || c.Off })
	slices.SortStableFunc(table, func(a, b Command) int { return cmp.Compare(a.Place, b.Place) })
	return table
}

// Shown is the key of a row as the screens name it.
func (c Command) Shown() string {
	if len(c.Keys) == 0 {
		return ""
	}
	return keyName(c.Keys[0])
}

func keyName(key string) string {
	name := map[string]string{"up": "↑", "down": "↓", "left": "←", "right": "→", "pgdown": "pgdn", "f1": "F1"}[key]
	return cmp.Or(name, key)
}

// AllKeys are the keys of a row for help: the one shown and at most two others that are not the same letter.
func (c Command) AllKeys() string {
	names := []string{c.Shown()}
	for _, k := range c.Keys[1:] {
		if name := keyName(k); !strings.EqualFold(name, names[0]) && len(names) < 3 {
			names = append(names, name)
		}
	}
	return strings.Join(names, " ")
}

// Press runs what a key stands for: a row of the screen's table, or else one of more; where text is typed, any other
// key is text. known is false for a key without a meaning.
func Press(s Screen, msg tea.KeyMsg, more ...Command) (cmd tea.Cmd, known bool) {
	p := s.Base()
	asked := p.Asked
	p.Message, p.Asked = "", ""
	for _, c := range append(s.Commands(), more...) {
		if !c.has(msg) {
			continue
		}
		known = true
		switch {
		case c.Off:
			continue
		case c.asks != "" && asked != c.Words:
			p.Asked = c.Words
			return Notice(c.asks), true
		}
		return c.Do(), true
	}
	if s.About().Typing {
		return s.Typed(msg), true
	}
	return nil, known
}

// Perform does what the row with some words says, where it can be done.
func Perform(s Screen, said string) tea.Cmd {
	if c, there := words.First(s.Commands(), func(c Command) bool { return c.Words == said && !c.Off }); there {
		return c.Do()
	}
	return nil
}

// Parted takes the first key off several that came in one read.
func Parted(msg tea.KeyMsg) (first, rest tea.KeyMsg, several bool) {
	if msg.Type != tea.KeyRunes || msg.Paste || msg.Alt || len(msg.Runes) < 2 {
		return msg, msg, false
	}
	first, rest = msg, msg
	first.Runes, rest.Runes = msg.Runes[:1], msg.Runes[1:]
	return first, rest, true
}

// PastAny is a line behind the end of every list.
const PastAny = 1 << 30

// Moves are the keys that go through lines, from line at; to gets the line they lead to, which may lie past either end.
// page is how many are in sight, and a page key moves by as many. foot are the places of down and of up in the footer.
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
