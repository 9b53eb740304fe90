package tui

import (
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// upkeep lists the chores of a tank and its stocks: what comes round again when, and what runs out when.
type upkeep struct {
	part.Page
	part.List
	env     *part.Env
	tank    logbook.Tank
	subject string // the chore or stock to start on
	asked   int
	chores  []alerts.Chore
	stocks  []alerts.Stock
}

type upkeepMsg struct {
	asked int
	found alerts.Upkeep
}

func newUpkeep(e *part.Env, t logbook.Tank, subject string) *upkeep {
	return &upkeep{env: e, tank: t, subject: subject}
}

func (u *upkeep) now() time.Time { return u.env.Moment().In(u.tank.Zone()) }

func (u *upkeep) Init() tea.Cmd {
	u.asked = u.env.Ask()
	asked, at, name := u.asked, u.now(), u.tank.Name
	return u.env.Read(func(v *logbook.View) (tea.Msg, error) {
		tank, err := v.Tank(name)
		if err != nil {
			return nil, err
		}
		found, err := alerts.UpkeepOf(v, tank, at)
		return upkeepMsg{asked, found}, err
	})
}

func (u *upkeep) Update(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case part.ChangedMsg:
		return u.Init()
	case upkeepMsg:
		if msg.asked == u.asked {
			u.fill(msg.found)
		}
	}
	return nil
}

func (u *upkeep) fill(r alerts.Upkeep) {
	first := !u.Loaded
	u.Loaded, u.chores, u.stocks = true, r.Chores, r.Stocks
	for i := 0; first && i < u.count(); i++ {
		if u.name(i) == u.subject {
			u.At = i
		}
	}
	u.Clamp(u.count())
}

func (u *upkeep) count() int { return len(u.chores) + len(u.stocks) }

// name is what line i is about: the chores come first.
func (u *upkeep) name(i int) string {
	if i < len(u.chores) {
		return u.chores[i].Name
	}
	return u.stocks[i-len(u.chores)].Name
}

func (u *upkeep) Commands() []part.Command {
	n := u.count()
	foot := []int{4, 5}
	if n == 0 {
		foot = nil
	}
	return slices.Concat(
		u.Moves("chores and stock", n, foot...),
		part.Under("chores and stock",
			part.On("enter c", "done, or refilled", u.done).Foot(1).When(n > 0),
			part.On("n C", "new chore", part.Opens(part.FormOf{Kind: part.NewChore, Tank: u.tank})).Foot(2),
			part.On("N", "new stock", part.Opens(part.FormOf{Kind: part.NewStock, Tank: u.tank})).Foot(3)))
}

func (u *upkeep) done() tea.Cmd {
	if u.At < len(u.chores) {
		return part.Open(part.FormOf{Kind: part.ChoreDone, Tank: u.tank, Name: u.chores[u.At].Name})
	}
	return part.Open(part.RefillOf{Tank: u.tank, Stock: u.stocks[u.At-len(u.chores)].Stock})
}

func (u *upkeep) About() part.About {
	return part.About{Title: part.Clean(u.tank.Name) + " · chores and stock", Zone: u.tank.Zone(), Place: part.Place{Screen: part.OnUpkeep, Tank: u.tank.Name}}
}

func (u *upkeep) View() string {
	t := u.env.Theme
	switch {
	case !u.Loaded:
		return u.Reading(t)
	case u.count() == 0:
		return strings.Join(append([]string{""}, part.Hang("No chore and no stock yet. n adds a chore that comes round again; N adds a stock that is used up: a reservoir, a reagent, anything.", t.Plain, 2, u.W, 4)...), "\n")
	}
	var out []string
	line := func(i int, when, text string, late bool) {
		lead, name := "  ", part.Pad(part.Clean(u.name(i)), u.nameWidth())
		if i == u.At {
			lead, name = t.Accent.Render(t.Signs.Chosen)+" ", t.Accent.Render(name)
		}
		style := t.Plain
		if late {
			style = t.Warn
		}
		row := lead + name + "  " + style.Render(part.Pad(when, 11))
		if u.W >= 60 {
			row += "  " + t.Dim.Render(text)
		}
		out = append(out, part.Cut(strings.TrimRight(row, " "), u.W))
	}
	at := 0
	if len(u.chores) > 0 {
		out = append(out, t.Head.Render(part.Cut("  chores", u.W)))
	}
	for i, c := range u.chores {
		if i == u.At {
			at = len(out)
		}
		when, late := "not known", false
		switch {
		case !c.Due.IsZero():
			when, late = words.Due(c.Due, u.now()), words.Midnights(c.Due, u.now(), u.tank.Zone()) >= 0
		case c.Last.IsZero():
			when = "not yet"
		}
		line(i, when, part.Clean(c.Text()), late)
	}
	if len(u.stocks) > 0 {
		out = append(out, "", t.Head.Render(part.Cut("  stock", u.W)))
	}
	for j, s := range u.stocks {
		i := len(u.chores) + j
		if i == u.At {
			at = len(out)
		}
		line(i, s.LastsText(), part.Clean(s.Text(u.now())), s.Empty() || !s.Since.IsZero())
	}
	below := part.Hang(u.detail(), t.Plain, 2, u.W, 3)
	room := max(1, u.H-len(below)-1)
	u.Top = part.Window(u.Top, at, len(out), room)
	out = out[u.Top:min(len(out), u.Top+room)]
	return strings.Join(append(append(out, ""), below...), "\n")
}

func (u *upkeep) nameWidth() int {
	w := 8
	for i := range u.count() {
		w = max(w, part.Width(part.Clean(u.name(i))))
	}
	return min(w, max(8, u.W/2-6))
}

// detail says the chosen line in full.
func (u *upkeep) detail() string {
	if u.At < len(u.chores) {
		c := u.chores[u.At]
		return part.Clean(c.Name + ": " + c.Text() + words.With("; next ", c.DueText()))
	}
	s := u.stocks[u.At-len(u.chores)]
	text := s.Name + ": " + s.Text(u.now())
	if s.Basis != "" {
		text += " (" + s.Basis + ")"
	}
	return part.Clean(text)
}
