package tui

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"
)

// palette finds a command of the screen below by its words, for those who do not know the key.
type palette struct {
	page
	list
	env  *env
	of   func() []command
	find textinput.Model
}

func newPalette(e *env, words string, of func() []command) *palette {
	p := &palette{env: e, of: of, find: newField(e, 30)}
	p.find.SetValue(words)
	focusField(&p.find)
	return p
}

func (p *palette) Init() tea.Cmd          { return nil }
func (p *palette) Update(tea.Msg) tea.Cmd { return nil }
func (p *palette) about() about           { return about{title: "find a command", typing: true} }

// found are the commands whose words hold what is typed.
func (p *palette) found() []command {
	word := strings.ToLower(strings.TrimSpace(p.find.Value()))
	return slices.DeleteFunc(p.of(), func(c command) bool {
		return c.off || c.mute || !strings.Contains(strings.ToLower(c.group+" "+c.other+" "+c.words), word)
	})
}

func (p *palette) commands() []command {
	found := p.found()
	to := func(line int) func() tea.Cmd {
		return just(func() {
			p.at = line
			p.clamp(len(found))
		})
	}
	return under("find a command",
		on("enter", "run", func() tea.Cmd { return tea.Sequence(back, found[p.at].do()) }).foot(1).when(p.at < len(found)),
		on("down tab", "next", to(p.at+1)).foot(2),
		on("up shift+tab", "previous", to(p.at-1)).foot(3),
		on("esc", "leave it", always(back)).foot(4))
}

func (p *palette) typed(msg tea.KeyMsg) tea.Cmd {
	editField(&p.find, msg)
	p.at = 0
	return nil
}

func (p *palette) View() string {
	t := p.env.theme
	out := []string{"", "  " + strings.TrimRight(p.find.View(), " "), ""}
	found := p.found()
	if len(found) == 0 {
		return strings.Join(append(out, "  no command has these words"), "\n")
	}
	room := max(1, p.h-len(out))
	out = append(out, p.draw(len(out), len(found), room, func(i int) string {
		lead, words := "  ", found[i].words
		if i == p.at {
			lead, words = t.Accent.Render(t.Signs.Chosen)+" ", t.Accent.Render(words)
		}
		return cut(lead+t.Key.Render(pad(found[i].shown(), 10))+" "+words, p.w)
	})...)
	return strings.Join(out, "\n")
}

// palette opens the list of commands, at those that hold some words: what can be done on the screen on top, what can be
// exported of it, and what is done in a shell.
func (a *app) palette(words string) tea.Cmd {
	if a.helping() {
		return nil
	}
	of := a.top()
	return a.push(newPalette(a.env, words, func() []command {
		rows := of.commands()
		if of == screen(a.home) {
			rows = append(rows, a.ofChosenLine()...)
		}
		return slices.Concat(rows, a.exports(), inAShell())
	}))
}

// ofChosenLine are what the chart of the chosen line does besides looking: the palette of the first screen finds them too.
func (a *app) ofChosenLine() []command {
	l, ok := a.home.chosen()
	if !ok {
		return nil
	}
	of := place{Parameter: l.Parameter.Name}
	rows := slices.DeleteFunc(newParameterScreen(a.env, l.Tank, of).commands(), func(c command) bool { return !c.far })
	for i, c := range rows {
		rows[i] = on("", clean(l.Parameter.Name)+": "+c.words, opens(chartOf{l.Tank, of, c.words})).also(c.other)
	}
	return rows
}

// exports export what the uppermost screen shows that has something to.
func (a *app) exports() (rows []command) {
	for _, s := range slices.Backward(a.stack) {
		of := s.about().shows
		if of.Tank.Name == "" {
			continue
		}
		for _, x := range a.env.exports {
			if !x.OfSeries || of.Parameter != "" {
				rows = append(rows, on("", "export "+x.Name, opens(exportOf{x, of})))
			}
		}
		break
	}
	return rows
}

// inAShell are what is done outside of the screens, so that a search for it leads somewhere.
func inAShell() (rows []command) {
	for _, c := range [][2]string{
		{"plan", "how much to dose to hold a level or to bring it to a target"}, {"import", "read a table into the book"},
		{"merge", "take in what another book holds"}, {"calendar", "what is due as a calendar file"},
		{"export", "the readings as a table, or the whole book"}, {"backup", "a checked copy of the book"},
		{"salinity", "salinity from other measures"}, {"volume", "the net water volume from a known dose"},
	} {
		rows = append(rows, on("", "in a shell, leadline "+c[0]+": "+c[1], always(notice("leave with q and type leadline "+c[0]+" --help"))))
	}
	return rows
}
