package tui

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"
)

// palette finds a command of the screen below by its words, for those who do not know the key.
type palette struct {
	size
	env  *env
	all  []command
	find textinput.Model
	at   int
	top  int
}

// command is one thing the palette can do.
type command struct {
	key   string // "" where no key does it
	words string
	group string // words it is found by too
	run   tea.Cmd
}

// palette opens the list of commands, at those that hold some words.
func (a *app) palette(words string) tea.Cmd {
	if _, ok := a.top().(*helpScreen); ok {
		return nil
	}
	p := &palette{env: a.env, all: commandsOf(a.top()), find: newField(a.env, 30)}
	if g, is := a.top().(*glance); is {
		p.all = append(p.all, g.commandsOfLine()...)
	}
	p.all = append(append(p.all, a.exports()...), inAShell()...)
	p.find.SetValue(words)
	focusField(&p.find)
	return a.push(p)
}

// commandsOf are what the keys of a screen do, but for those that only lead here.
func commandsOf(s screen) []command {
	var out []command
	for _, g := range s.Groups() {
		for _, b := range g.keys {
			if !slices.Contains([]string{"up", "down", "export"}, b.Help().Desc) {
				press := pressOf(b)
				out = append(out, command{b.Help().Key, b.Help().Desc, g.title + " " + alsoCalled(b.Help().Desc), func() tea.Msg { return press }})
			}
		}
	}
	return out
}

func (p *palette) Init() tea.Cmd { return nil }

// found are the commands whose words hold what is typed.
func (p *palette) found() []command {
	word := strings.ToLower(strings.TrimSpace(p.find.Value()))
	var out []command
	for _, c := range p.all {
		if strings.Contains(strings.ToLower(c.group+" "+c.words), word) {
			out = append(out, c)
		}
	}
	return out
}

func (p *palette) Update(msg tea.Msg) tea.Cmd {
	k, ok := msg.(tea.KeyMsg)
	if !ok {
		return nil
	}
	found := p.found()
	switch {
	case key.Matches(k, p.env.keys.Palette.Leave):
		return back
	case key.Matches(k, p.env.keys.Palette.Run):
		if p.at >= len(found) {
			return nil
		}
		return tea.Sequence(back, found[p.at].run)
	case key.Matches(k, p.env.keys.Palette.Next):
		p.at++
	case key.Matches(k, p.env.keys.Palette.Prev):
		p.at--
	default:
		editField(&p.find, k)
		p.at = 0
	}
	p.at = max(0, min(p.at, len(p.found())-1))
	return nil
}

// pressOf is the key press a binding answers to.
func pressOf(b key.Binding) tea.KeyMsg {
	name := b.Keys()[0]
	special := map[string]tea.KeyType{
		"enter": tea.KeyEnter, "tab": tea.KeyTab, "shift+tab": tea.KeyShiftTab, "esc": tea.KeyEsc, "up": tea.KeyUp,
		"down": tea.KeyDown, "left": tea.KeyLeft, "right": tea.KeyRight, "pgup": tea.KeyPgUp, "pgdown": tea.KeyPgDown,
	}
	if k, ok := special[name]; ok {
		return tea.KeyMsg{Type: k}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(name)}
}

func (p *palette) Title() string      { return "find a command" }
func (p *palette) CapturesText() bool { return true }
func (p *palette) HasUnsaved() bool   { return false }

func (p *palette) Keys() []key.Binding {
	k := p.env.keys
	return []key.Binding{k.Palette.Run, k.Palette.Next, k.Palette.Prev, k.Palette.Leave}
}

func (p *palette) Groups() []group {
	k := p.env.keys
	return []group{{"find a command", []key.Binding{k.Palette.Run, k.Palette.Next, k.Palette.Prev, k.Palette.Leave}}}
}

func (p *palette) View() string {
	t := p.env.theme
	out := []string{"", "  " + strings.TrimRight(p.find.View(), " "), ""}
	found := p.found()
	if len(found) == 0 {
		return strings.Join(append(out, "  no command has these words"), "\n")
	}
	room := max(1, p.h-len(out))
	p.top = window(p.top, p.at, len(found), room)
	for i := p.top; i < min(len(found), p.top+room); i++ {
		lead, desc := "  ", found[i].words
		if i == p.at {
			lead, desc = t.Accent.Render(t.Signs.Chosen)+" ", t.Accent.Render(desc)
		}
		out = append(out, cut(lead+t.Key.Render(pad(found[i].key, 10))+" "+desc, p.w))
	}
	return strings.Join(out, "\n")
}
