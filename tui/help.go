package tui

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/tui/form"
	"leadline/tui/part"
)

// helpScreen lists every key of the screen it was called from, and what the signs mean.
type helpScreen struct {
	part.Page
	of func() []part.Command
	on string // the title of that screen

	cautions []string // of that screen, in full
	top      int
}

func (h *helpScreen) About() part.About { return part.About{Title: "help: " + h.on} }

func (h *helpScreen) Commands() []part.Command {
	return part.Moves("", h.top, h.H, func(row int) tea.Cmd {
		h.top = max(0, min(row, len(h.rows())-h.H))
		return nil
	}, 1, 2)
}

func (h *helpScreen) rows() []string {
	var all [][]string
	block := map[string]int{} // the one of a group
	for _, c := range h.of() {
		if c.Group == "" {
			continue
		}
		if _, begun := block[c.Group]; !begun {
			block[c.Group] = len(all)
			all = append(all, []string{h.Title.Render(c.Group)})
		}
		i := block[c.Group]
		all[i] = append(all[i], "  "+h.Key.Render(part.Pad(c.AllKeys(), 14))+" "+c.Words)
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
			rows = append(rows, h.Title.Render("cautions in full"))
		}
		rows = append(rows, part.Hang(part.Clean(text), h.Warn, 2, h.W, 0)...)
	}
	return rows
}

func (h *helpScreen) signs() []string {
	marks := append(picture.RulerMarks()[:3], []picture.Mark{
		{Sign: picture.Below + " " + picture.Above, Word: "below, above that value"},
		{Sign: picture.Soon + picture.Soon + " " + picture.Fan, Word: "forecast, 80 % range"},
		{Sign: part.SignUp + " " + part.SignFlat + " " + part.SignDown, Word: "rising, steady, falling"},
		{Sign: part.SignAlert, Word: "an alert asks for you"},
		{Sign: part.SignSeen, Word: "alert seen or snoozed"},
		{Sign: picture.NoData, Word: "no reading there"},
	}...)
	return append([]string{h.Title.Render("signs")},
		words.Of(marks, func(m picture.Mark) string { return "  " + part.Pad(m.Sign, 12) + " " + m.Word })...)
}

func (h *helpScreen) View() string {
	rows := h.rows()
	top := max(0, min(h.top, len(rows)-h.H))
	return strings.Join(rows[top:], "\n")
}

// palette finds a command of the screen below by its words, for those who do not know the key.
type palette struct {
	part.Page
	part.List
	of   func() []part.Command
	find textinput.Model
}

func newPalette(e *part.Env, words string, of func() []part.Command) *palette {
	p := &palette{Page: part.Page{Env: e}, of: of, find: part.NewField(e, 30)}
	p.find.SetValue(words)
	part.FocusField(&p.find)
	return p
}

func (p *palette) About() part.About { return part.About{Title: "find a command", Typing: true} }

func (p *palette) found() []part.Command {
	word := strings.ToLower(strings.TrimSpace(p.find.Value()))
	return slices.DeleteFunc(p.of(), func(c part.Command) bool {
		return c.Off || c.Mute || !strings.Contains(strings.ToLower(c.Group+" "+c.Other+" "+c.Words), word)
	})
}

func (p *palette) Commands() []part.Command {
	found := p.found()
	to := func(line int) func() tea.Cmd {
		return part.Just(func() {
			p.At = line
			p.Clamp(len(found))
		})
	}
	return part.Under("find a command",
		part.On("enter", "run", func() tea.Cmd {
			return tea.Sequence(part.Back, found[p.At].Do())
		}).Foot(1).When(p.At < len(found)),
		part.On("down tab", "next", to(p.At+1)).Foot(2),
		part.On("up shift+tab", "previous", to(p.At-1)).Foot(3),
		part.On("esc", "leave it", part.Always(part.Back)).Foot(4))
}

func (p *palette) Typed(msg tea.KeyMsg) tea.Cmd {
	part.EditField(&p.find, msg)
	p.At = 0
	return nil
}

func (p *palette) View() string {
	out := []string{"", "  " + strings.TrimRight(p.find.View(), " "), ""}
	found := p.found()
	if len(found) == 0 {
		return strings.Join(append(out, "  no command has these words"), "\n")
	}
	room := max(1, p.H-len(out))
	out = append(out, p.Draw(len(out), len(found), room, func(i int) string {
		lead, words := p.Marked(i == p.At, found[i].Words)
		return part.Cut(lead+p.Key.Render(part.Pad(found[i].Shown(), 10))+" "+words, p.W)
	})...)
	return strings.Join(out, "\n")
}

// ofChosenLine are what the chart of the chosen line does besides looking: the palette of the first screen finds them
// too.
func ofChosenLine(e *part.Env, l alerts.Finding) []part.Command {
	of := part.Place{Parameter: l.Parameter.Name}
	rows := slices.DeleteFunc(newParameterScreen(e, l.Tank, of).Commands(), func(c part.Command) bool { return !c.Far })
	for i, c := range rows {
		rows[i] = part.On("", part.Clean(l.Parameter.Name)+": "+c.Words,
			part.Opens(func(e *part.Env) part.Screen {
				p := newParameterScreen(e, l.Tank, of)
				p.then = c.Words
				return p
			})).Also(c.Other)
	}
	return rows
}

func exports(all []part.Export, of part.Exported) (rows []part.Command) {
	for _, x := range all {
		if of.Tank.Name != "" && (!x.OfSeries || of.Parameter != "") {
			rows = append(rows, part.On("", "export "+x.Name, part.Opens(func(e *part.Env) part.Screen {
				return form.NewExport(e, x, of)
			})))
		}
	}
	return rows
}

// inAShell are what is done outside of the screens, so that a search for it leads somewhere.
func inAShell() (rows []part.Command) {
	for _, c := range [][2]string{
		{"import", "read a table into the book"},
		{"merge", "take in what another book holds"}, {"calendar", "what is due as a calendar file"},
		{"export", "the readings as a table, or the whole book"}, {"backup", "a checked copy of the book"},
		{"salinity", "salinity from other measures"}, {"volume", "the net water volume from a known dose"},
	} {
		rows = append(rows, part.On("", "in a shell, leadline "+c[0]+": "+c[1],
			part.Always(part.Notice("leave with q and type leadline "+c[0]+" --help"))))
	}
	return rows
}
