package tui

import (
	"cmp"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
)

// command is one thing that can be done on a screen: a row of the screen's table. The keys themselves, the footer, help and
// the palette read the table.
type command struct {
	keys  []string // as the library names them, the one to show first; none: only the palette does it
	words string
	do    func() tea.Cmd
	group string // the heading it stands under in help; "": help leaves it out
	place int    // in the footer, counted from 1; 0: not there
	off   bool   // cannot be done as things are: only help names it
	mute  bool   // the palette leaves it out
	far   bool   // the palette of the first screen offers it for the chosen line
	other string // further words by which it is found
	asks  string // a question that the same key, pressed again, answers; "": none
}

// footEnd is the place in the footer of the root model's own rows, behind those of nearly every screen.
const footEnd = 50

// on is a row of a table; keys are parted by spaces, and the key of that name is "space".
func on(keys, words string, do func() tea.Cmd) command {
	return command{keys: strings.Fields(keys), words: words, do: do}
}

func (c command) foot(place int) command     { c.place = place; return c }
func (c command) when(can bool) command      { c.off = c.off || !can; return c }
func (c command) muted() command             { c.mute = true; return c }
func (c command) afar() command              { c.far = true; return c }
func (c command) also(words string) command  { c.other = words; return c }
func (c command) asking(text string) command { c.asks = text; return c }

// under puts rows under a heading of help.
func under(group string, rows ...command) []command {
	for i := range rows {
		rows[i].group = group
	}
	return rows
}

// just does something on the screen that leads to nothing else.
func just(do func()) func() tea.Cmd {
	return func() tea.Cmd {
		do()
		return nil
	}
}

// always returns a command of the library as it stands.
func always(cmd tea.Cmd) func() tea.Cmd { return func() tea.Cmd { return cmd } }

func (c command) has(msg tea.KeyMsg) bool {
	name := msg.String()
	if msg.Type == tea.KeyRunes && len(msg.Runes) > 1 { // a word in one read is text, though it may be the name of a key
		return false
	}
	if name == " " {
		name = "space"
	}
	return slices.Contains(c.keys, name)
}

// press runs what a key stands for: a row of the screen's table, or else one of more; where text is typed, any other key is
// text. known is false for a key without a meaning.
func press(s screen, msg tea.KeyMsg, more ...command) (cmd tea.Cmd, known bool) {
	p := s.base()
	asked := p.asked
	p.message, p.asked = "", ""
	for _, c := range append(s.commands(), more...) {
		if !c.has(msg) {
			continue
		}
		known = true
		switch {
		case c.off:
			continue
		case c.asks != "" && asked != c.words:
			p.asked = c.words
			return notice(c.asks), true
		}
		return c.do(), true
	}
	if s.about().typing {
		return s.typed(msg), true
	}
	return nil, known
}

// footed are the rows for the footer, in its order.
func footed(table []command) []command {
	table = slices.DeleteFunc(table, func(c command) bool { return c.place == 0 || c.off })
	slices.SortStableFunc(table, func(a, b command) int { return cmp.Compare(a.place, b.place) })
	return table
}

// shown is the key of a row as the screens name it.
func (c command) shown() string {
	if len(c.keys) == 0 {
		return ""
	}
	return keyName(c.keys[0])
}

func keyName(key string) string {
	name := map[string]string{"up": "↑", "down": "↓", "left": "←", "right": "→", "pgdown": "pgdn", "f1": "F1"}[key]
	return cmp.Or(name, key)
}

// allKeys are the keys of a row for help: the one shown and at most two others that are not the same letter.
func (c command) allKeys() string {
	names := []string{c.shown()}
	for _, k := range c.keys[1:] {
		if name := keyName(k); !strings.EqualFold(name, names[0]) && len(names) < 3 {
			names = append(names, name)
		}
	}
	return strings.Join(names, " ")
}

// perform does what the row with some words says, where it can be done.
func perform(s screen, words string) tea.Cmd {
	for _, c := range s.commands() {
		if c.words == words && !c.off {
			return c.do()
		}
	}
	return nil
}
