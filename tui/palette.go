package tui

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"
)

// palette finds a command of the screen below by its words, for those who do not know the key.
type palette struct {
	size
	env  *env
	of   screen
	find textinput.Model
	at   int
	top  int
}

func (a *app) palette() tea.Cmd {
	if _, ok := a.top().(*helpScreen); ok {
		return nil
	}
	p := &palette{env: a.env, of: a.top(), find: newField(a.env, 30)}
	focusField(&p.find)
	return a.push(p)
}

func (p *palette) Init() tea.Cmd { return nil }

// found are the bindings whose words hold what is typed.
func (p *palette) found() []key.Binding {
	word := strings.ToLower(strings.TrimSpace(p.find.Value()))
	var out []key.Binding
	for _, g := range p.of.Groups() {
		for _, b := range g.keys {
			if b.Help().Desc != "up" && b.Help().Desc != "down" && strings.Contains(strings.ToLower(g.title+" "+b.Help().Desc), word) {
				out = append(out, b)
			}
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
		press := pressOf(found[p.at])
		return tea.Sequence(back, func() tea.Msg { return press })
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
		lead, desc := "  ", found[i].Help().Desc
		if i == p.at {
			lead, desc = t.Accent.Render(t.Signs.Chosen)+" ", t.Accent.Render(desc)
		}
		out = append(out, cut(lead+t.Key.Render(pad(found[i].Help().Key, 10))+" "+desc, p.w))
	}
	return strings.Join(out, "\n")
}
