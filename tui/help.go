package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/picture"
)

// helpScreen lists every key of the screen it was called from, and what the signs mean.
type helpScreen struct {
	reader
	size
	env *env
	of  screen
	top int
}

func newHelp(e *env, of screen) *helpScreen { return &helpScreen{env: e, of: of} }

func (h *helpScreen) Init() tea.Cmd { return nil }

func (h *helpScreen) Update(msg tea.Msg) tea.Cmd {
	k, ok := msg.(tea.KeyMsg)
	if !ok {
		return nil
	}
	all := h.env.keys.All
	n := len(h.rows())
	switch {
	case key.Matches(k, all.Down):
		h.top++
	case key.Matches(k, all.Up):
		h.top--
	case key.Matches(k, all.PageDown):
		h.top += h.h
	case key.Matches(k, all.PageUp):
		h.top -= h.h
	case key.Matches(k, all.First):
		h.top = 0
	case key.Matches(k, all.Last):
		h.top = n
	}
	h.top = max(0, min(h.top, n-h.h))
	return nil
}

func (h *helpScreen) Title() string { return "help: " + h.of.Title() }

func (h *helpScreen) Keys() []key.Binding {
	all := h.env.keys.All
	return []key.Binding{all.Down, all.Up, all.Back}
}

func (h *helpScreen) Groups() []group { return nil }

func (h *helpScreen) groups() []group {
	all := h.env.keys.All
	always := []key.Binding{all.Help, all.Back, all.Palette, all.Quit, all.Suspend, all.Leave}
	if h.of.CapturesText() {
		always = []key.Binding{all.HelpTyping, all.Suspend, all.Leave}
	}
	return append(h.of.Groups(), group{"always", always})
}

func (h *helpScreen) rows() []string {
	t := h.env.theme
	var blocks [][]string
	for _, g := range h.groups() {
		b := []string{t.Title.Render(g.title)}
		for _, k := range g.keys {
			name := k.Help().Key
			if other := otherKeys(k); other != "" {
				name += " " + other
			}
			b = append(b, "  "+t.Key.Render(pad(name, 14))+" "+k.Help().Desc)
		}
		blocks = append(blocks, b)
	}
	blocks = append(blocks, h.signs())
	abreast := max(1, (h.w+2)/40)
	w := (h.w - 2*(abreast-1)) / abreast
	var rows []string
	for len(blocks) > 0 {
		n := min(abreast, len(blocks))
		rows = append(rows, sideBySide(blocks[:n], w, 2)...)
		rows = append(rows, "")
		blocks = blocks[n:]
	}
	return rows
}

// otherKeys are the further keys of a binding, as words.
func otherKeys(b key.Binding) string {
	var out []string
	for _, k := range b.Keys() {
		name := map[string]string{"up": "↑", "down": "↓", "left": "←", "right": "→", " ": "space", "pgdown": "pgdn"}[k]
		if name == "" {
			name = k
		}
		if !strings.EqualFold(name, b.Help().Key) && k != b.Help().Key && len(out) < 2 {
			out = append(out, name)
		}
	}
	return strings.Join(out, " ")
}

func (h *helpScreen) signs() []string {
	t, s := h.env.theme, h.env.theme.Signs
	return []string{
		t.Title.Render("signs"),
		fmt.Sprintf("  %s          your band", picture.BandSign),
		fmt.Sprintf("  %s            your floor", picture.Floor),
		fmt.Sprintf("  %s            level now; a reading", picture.Level),
		fmt.Sprintf("  %s %s          below, above that value", picture.Below, picture.Above),
		fmt.Sprintf("  %s         forecast, 80 %% range", picture.Soon+picture.Soon+" "+picture.Fan),
		fmt.Sprintf("  %s %s %s        rising, steady, falling", s.Up, s.Flat, s.Down),
		fmt.Sprintf("  %s            an alert asks for you", s.Alert),
		fmt.Sprintf("  %s            alert seen or snoozed", s.Seen),
		fmt.Sprintf("  %s            no reading there", picture.NoData),
	}
}

func (h *helpScreen) View() string {
	rows := h.rows()
	top := max(0, min(h.top, len(rows)-h.h))
	return strings.Join(rows[top:], "\n")
}
