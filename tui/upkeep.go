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
	return part.AskAnew(&u.Page, func(v *logbook.View) (alerts.Upkeep, error) {
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
	lines := u.lines()
	if at := slices.IndexFunc(lines, func(l upkeepLine) bool { return l.name == u.subject }); first && at >= 0 {
		u.At = at
	}
	u.Clamp(len(lines))
	return nil
}

// upkeepLine is a chore or a stock as the list has it: when it is due or runs out, and what else there is to say.
type upkeepLine struct {
	name, when, text string
	more             string // said of the chosen one behind the text
	late             bool
	done             part.Want // notes that it was done, or filled up
}

// lines are the chores, then the stocks.
func (u *upkeep) lines() (all []upkeepLine) {
	now := u.now()
	for _, c := range u.chores {
		l := upkeepLine{name: c.Name, when: "not known", text: c.Text(now), more: words.With("; next ", c.DueText(now)),
			done: part.OfTank(form.NewChoreDone, u.tank, c.Name)}
		switch {
		case !c.Due.IsZero():
			l.when, l.late = words.Due(c.Due, now), words.Midnights(c.Due, now, u.tank.Zone()) >= 0
		case c.Last.IsZero():
			l.when = "not yet"
		}
		all = append(all, l)
	}
	for _, s := range u.stocks {
		l := upkeepLine{name: s.Name, when: s.LastsText(), text: s.Text(now), late: s.Empty() || !s.Since.IsZero(),
			done: part.OfTank(form.NewRefill, u.tank, s.Stock)}
		if s.Basis != "" {
			l.more = " (" + s.Basis + ")"
		}
		all = append(all, l)
	}
	return all
}

func (u *upkeep) Commands() []part.Command {
	lines := u.lines()
	foot, done := []int{4, 5}, part.Want(nil)
	if len(lines) == 0 {
		foot = nil
	} else {
		done = lines[u.At].done
	}
	return slices.Concat(
		u.Moves("chores and stock", len(lines), foot...),
		part.Under("chores and stock",
			part.On("enter c", "done, or refilled", part.Opens(done)).Foot(1).When(len(lines) > 0),
			part.On("C", "new chore", form.Opens(form.NewChore, u.tank, "")).Foot(2),
			part.On("N", "new stock", form.Opens(form.NewStock, u.tank, "")).Foot(3)))
}

func (u *upkeep) About() part.About {
	return part.About{Title: part.Clean(u.tank.Name) + " · chores and stock", Zone: u.tank.Zone(),
		Place: part.Place{Screen: part.OnUpkeep, Tank: u.tank.Name}}
}

func (u *upkeep) View() string {
	lines := u.lines()
	if len(lines) == 0 {
		return strings.Join(append([]string{""}, part.Hang("No chore and no stock yet. C adds a chore that comes round "+
			"again; N adds a stock that is used up: a reservoir, a reagent, anything.", u.Plain, 2, u.W, 4)...), "\n")
	}
	l := lines[u.At]
	below := part.Hang(part.Clean(l.name+": "+l.text+l.more), u.Plain, 2, u.W, 3)
	out, at := u.list(lines)
	room := max(1, u.H-len(below)-1)
	u.Top = part.Window(u.Top, at, len(out), room)
	out = out[u.Top:min(len(out), u.Top+room)]
	return strings.Join(append(append(out, ""), below...), "\n")
}

// list is every row, and which of them is the chosen line's.
func (u *upkeep) list(lines []upkeepLine) (out []string, at int) {
	t, width := u.Theme, 8
	for _, l := range lines {
		width = max(width, part.Width(part.Clean(l.name)))
	}
	width = min(width, max(8, u.W/2-6))
	head := func(text string) { out = append(out, t.Head.Render(part.Cut(text, u.W))) }
	if len(u.chores) > 0 {
		head("  chores")
	}
	for i, l := range lines {
		if i == len(u.chores) {
			out = append(out, "")
			head("  stock")
		}
		if i == u.At {
			at = len(out)
		}
		lead, name := t.Marked(i == u.At, part.Pad(part.Clean(l.name), width))
		style := t.Plain
		if l.late {
			style = t.Warn
		}
		row := lead + name + "  " + style.Render(part.Pad(l.when, 11))
		if u.W >= 60 {
			row += "  " + t.Dim.Render(part.Clean(l.text))
		}
		out = append(out, part.Cut(strings.TrimRight(row, " "), u.W))
	}
	return out, at
}
