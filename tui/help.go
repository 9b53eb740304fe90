package tui

import (
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/tui/part"
)

// helpScreen lists every key of the screen it was called from, and what the signs mean.
type helpScreen struct {
	part.Page
	env *part.Env
	of  func() []part.Command
	on  string // the title of that screen

	cautions []string // of that screen, in full
	top      int
}

func (h *helpScreen) Init() tea.Cmd          { return nil }
func (h *helpScreen) Update(tea.Msg) tea.Cmd { return nil }
func (h *helpScreen) About() part.About      { return part.About{Title: "help: " + h.on} }

func (h *helpScreen) Commands() []part.Command {
	return part.Moves("", h.top, h.H, func(row int) tea.Cmd {
		h.top = max(0, min(row, len(h.rows())-h.H))
		return nil
	}, 1, 2)
}

func (h *helpScreen) rows() []string {
	t := h.env.Theme
	var all [][]string
	block := map[string]int{} // the one of a group
	for _, c := range h.of() {
		if c.Group == "" {
			continue
		}
		if _, begun := block[c.Group]; !begun {
			block[c.Group] = len(all)
			all = append(all, []string{t.Title.Render(c.Group)})
		}
		i := block[c.Group]
		all[i] = append(all[i], "  "+t.Key.Render(part.Pad(c.AllKeys(), 14))+" "+c.Words)
	}
	all = append(all, h.signs())
	abreast := max(1, (h.W+2)/40)
	w := (h.W - 2*(abreast-1)) / abreast
	var rows []string
	for some := range slices.Chunk(all, abreast) {
		rows = append(append(rows, part.SideBySide(some, w, 2)...), "")
	}
	for i, text := range h.cautions {
		if i == 0 {
			rows = append(rows, t.Title.Render("cautions in full"))
		}
		rows = append(rows, part.Hang(part.Clean(text), t.Warn, 2, h.W, 0)...)
	}
	return rows
}

func (h *helpScreen) signs() []string {
	t, s := h.env.Theme, h.env.Theme.Signs
	marks := append(picture.RulerMarks()[:3], []picture.Mark{
		{Sign: picture.Below + " " + picture.Above, Word: "below, above that value"},
		{Sign: picture.Soon + picture.Soon + " " + picture.Fan, Word: "forecast, 80 % range"},
		{Sign: s.Up + " " + s.Flat + " " + s.Down, Word: "rising, steady, falling"},
		{Sign: s.Alert, Word: "an alert asks for you"},
		{Sign: s.Seen, Word: "alert seen or snoozed"},
		{Sign: picture.NoData, Word: "no reading there"},
	}...)
	return append([]string{t.Title.Render("signs")},
		words.Of(marks, func(m picture.Mark) string { return "  " + part.Pad(m.Sign, 12) + " " + m.Word })...)
}

func (h *helpScreen) View() string {
	rows := h.rows()
	top := max(0, min(h.top, len(rows)-h.H))
	return strings.Join(rows[top:], "\n")
}
