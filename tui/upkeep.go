package tui

import (
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

// upkeep lists the chores of a tank and its stocks: what comes round again when, and what runs out when.
type upkeep struct {
	ofTank
	part.List
	subject string // the chore or stock to start on
	chores  []alerts.Chore
	stocks  []alerts.Stock
}

func newUpkeep(e *part.Env, t logbook.Tank, subject string) *upkeep {
	return &upkeep{ofTank: newOfTank(e, t), subject: subject}
}

func (u *upkeep) Init() tea.Cmd {
	at, name := u.now(), u.tank.Name
	return part.AskAnew(&u.Page, u.env, func(v *logbook.View) (alerts.Upkeep, error) {
		tank, err := v.Tank(name)
		if err != nil {
			return alerts.Upkeep{}, err
		}
		return alerts.UpkeepOf(v, tank, at)
	}, u.fill)
}

func (u *upkeep) fill(r alerts.Upkeep) tea.Cmd {
	first := !u.Loaded
	u.Loaded, u.chores, u.stocks = true, r.Chores, r.Stocks
	for i := 0; first && i < u.count(); i++ {
		if u.name(i) == u.subject {
			u.At = i
		}
	}
	u.Clamp(u.count())
	return nil
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
			part.On("C", "new chore", form.Opens(form.NewChore, u.tank, "")).Foot(2),
			part.On("N", "new stock", form.Opens(form.NewStock, u.tank, "")).Foot(3)))
}

func (u *upkeep) done() tea.Cmd {
	if u.At < len(u.chores) {
		return part.Open(part.OfTank(form.NewChoreDone, u.tank, u.chores[u.At].Name))
	}
	return part.Open(part.OfTank(form.NewRefill, u.tank, u.stocks[u.At-len(u.chores)].Stock))
}

func (u *upkeep) About() part.About {
	return part.About{Title: part.Clean(u.tank.Name) + " · chores and stock", Zone: u.tank.Zone(),
		Place: part.Place{Screen: part.OnUpkeep, Tank: u.tank.Name}}
}

func (u *upkeep) View() string {
	t := u.env.Theme
	switch {
	case u.count() == 0:
		return strings.Join(append([]string{""}, part.Hang("No chore and no stock yet. C adds a chore that comes round "+
			"again; N adds a stock that is used up: a reservoir, a reagent, anything.", t.Plain, 2, u.W, 4)...), "\n")
	}
	out, at := u.list()
	below := part.Hang(u.detail(), t.Plain, 2, u.W, 3)
	room := max(1, u.H-len(below)-1)
	u.Top = part.Window(u.Top, at, len(out), room)
	out = out[u.Top:min(len(out), u.Top+room)]
	return strings.Join(append(append(out, ""), below...), "\n")
}

// list is every row, and which of them is the chosen line's.
func (u *upkeep) list() (out []string, at int) {
	t, now := u.env.Theme, u.now()
	if len(u.chores) > 0 {
		out = append(out, t.Head.Render(part.Cut("  chores", u.W)))
	}
	for i, c := range u.chores {
		when, late := "not known", false
		switch {
		case !c.Due.IsZero():
			when, late = words.Due(c.Due, now), words.Midnights(c.Due, now, u.tank.Zone()) >= 0
		case c.Last.IsZero():
			when = "not yet"
		}
		out = append(out, u.line(i, when, part.Clean(c.Text(now)), late))
	}
	at = u.At + 1 // below the head
	if len(u.stocks) > 0 {
		out = append(out, "", t.Head.Render(part.Cut("  stock", u.W)))
		if u.At >= len(u.chores) {
			at = len(out) + u.At - len(u.chores)
		}
	}
	for j, s := range u.stocks {
		out = append(out, u.line(len(u.chores)+j, s.LastsText(), part.Clean(s.Text(now)), s.Empty() || !s.Since.IsZero()))
	}
	return out, at
}

// line is a row of the list: when it is due or runs out, and what else there is to say.
func (u *upkeep) line(i int, when, text string, late bool) string {
	t := u.env.Theme
	lead, name := t.Marked(i == u.At, part.Pad(part.Clean(u.name(i)), u.nameWidth()))
	style := t.Plain
	if late {
		style = t.Warn
	}
	row := lead + name + "  " + style.Render(part.Pad(when, 11))
	if u.W >= 60 {
		row += "  " + t.Dim.Render(text)
	}
	return part.Cut(strings.TrimRight(row, " "), u.W)
}

func (u *upkeep) nameWidth() int {
	w := 8
	for i := range u.count() {
		w = max(w, part.Width(part.Clean(u.name(i))))
	}
	return min(w, max(8, u.W/2-6))
}

func (u *upkeep) detail() string {
	if u.At < len(u.chores) {
		c := u.chores[u.At]
		return part.Clean(c.Name + ": " + c.Text(u.now()) + words.With("; next ", c.DueText(u.now())))
	}
	s := u.stocks[u.At-len(u.chores)]
	text := s.Name + ": " + s.Text(u.now())
	if s.Basis != "" {
		text += " (" + s.Basis + ")"
	}
	return part.Clean(text)
}
