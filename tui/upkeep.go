package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
)

// upkeep lists the chores of a tank and its stocks: what comes round again when, and what runs out when.
type upkeep struct {
	page
	list
	env     *env
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

func newUpkeep(e *env, t logbook.Tank, subject string) *upkeep {
	return &upkeep{env: e, tank: t, subject: subject}
}

func (u *upkeep) now() time.Time { return u.env.moment().In(u.tank.Zone()) }

func (u *upkeep) Init() tea.Cmd {
	u.asked = u.env.ask()
	asked, at, name := u.asked, u.now(), u.tank.Name
	return u.env.read(func(v *logbook.View) (tea.Msg, error) {
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
	case changedMsg:
		return u.Init()
	case upkeepMsg:
		if msg.asked == u.asked {
			u.fill(msg.found)
		}
	}
	return nil
}

func (u *upkeep) fill(r alerts.Upkeep) {
	first := !u.loaded
	u.loaded, u.chores, u.stocks = true, r.Chores, r.Stocks
	for i := 0; first && i < u.count(); i++ {
		if u.name(i) == u.subject {
			u.at = i
		}
	}
	u.clamp(u.count())
}

func (u *upkeep) count() int { return len(u.chores) + len(u.stocks) }

// name is what line i is about: the chores come first.
func (u *upkeep) name(i int) string {
	if i < len(u.chores) {
		return u.chores[i].Name
	}
	return u.stocks[i-len(u.chores)].Name
}

func (u *upkeep) commands() []command {
	n := u.count()
	foot := []int{4, 5}
	if n == 0 {
		foot = nil
	}
	return slices.Concat(
		u.moves("chores and stock", n, foot...),
		under("chores and stock",
			on("enter c", "done, or refilled", u.done).foot(1).when(n > 0),
			on("n C", "new chore", opens(formOf{kind: newChore, tank: u.tank})).foot(2),
			on("N", "new stock", opens(formOf{kind: newStock, tank: u.tank})).foot(3)))
}

func (u *upkeep) done() tea.Cmd {
	if u.at < len(u.chores) {
		return open(formOf{choreDone, u.tank, u.chores[u.at].Name})
	}
	return open(refillOf{u.tank, u.stocks[u.at-len(u.chores)].Stock})
}

func (u *upkeep) about() about {
	return about{title: clean(u.tank.Name) + " · chores and stock", zone: u.tank.Zone(), place: place{Screen: onUpkeep, Tank: u.tank.Name}}
}

func (u *upkeep) View() string {
	t := u.env.theme
	switch {
	case !u.loaded:
		return u.reading(t)
	case u.count() == 0:
		return strings.Join(append([]string{""}, hang("No chore and no stock yet. n adds a chore that comes round again; N adds a stock that is used up: a reservoir, a reagent, anything.", t.Plain, 2, u.w, 4)...), "\n")
	}
	var out []string
	line := func(i int, when, text string, late bool) {
		lead, name := "  ", pad(clean(u.name(i)), u.nameWidth())
		if i == u.at {
			lead, name = t.Accent.Render(t.Signs.Chosen)+" ", t.Accent.Render(name)
		}
		style := t.Plain
		if late {
			style = t.Warn
		}
		row := lead + name + "  " + style.Render(pad(when, 11))
		if u.w >= 60 {
			row += "  " + t.Dim.Render(text)
		}
		out = append(out, cut(strings.TrimRight(row, " "), u.w))
	}
	at := 0
	if len(u.chores) > 0 {
		out = append(out, t.Head.Render(cut("  chores", u.w)))
	}
	for i, c := range u.chores {
		if i == u.at {
			at = len(out)
		}
		when, late := "not known", false
		switch {
		case !c.Due.IsZero():
			when, late = words.Due(c.Due, u.now()), words.Midnights(c.Due, u.now(), u.tank.Zone()) >= 0
		case c.Last.IsZero():
			when = "not yet"
		}
		line(i, when, clean(choreText(c)), late)
	}
	if len(u.stocks) > 0 {
		out = append(out, "", t.Head.Render(cut("  stock", u.w)))
	}
	for j, s := range u.stocks {
		i := len(u.chores) + j
		if i == u.at {
			at = len(out)
		}
		line(i, leftText(s), clean(s.Text(u.now())), s.Empty() || !s.Since.IsZero())
	}
	below := hang(u.detail(), t.Plain, 2, u.w, 3)
	room := max(1, u.h-len(below)-1)
	u.top = window(u.top, at, len(out), room)
	out = out[u.top:min(len(out), u.top+room)]
	return strings.Join(append(append(out, ""), below...), "\n")
}

// choreText is what is known of a chore, with its interval where it was never done.
func choreText(c alerts.Chore) string {
	if c.Last.IsZero() && c.EveryDays > 0 {
		return words.Every(c.EveryDays) + "; " + c.Text()
	}
	return c.Text()
}

func (u *upkeep) nameWidth() int {
	w := 8
	for i := range u.count() {
		w = max(w, width(clean(u.name(i))))
	}
	return min(w, max(8, u.w/2-6))
}

// detail says the chosen line in full.
func (u *upkeep) detail() string {
	if u.at < len(u.chores) {
		c := u.chores[u.at]
		text := c.Name + ": " + choreText(c)
		if due := c.DueText(); due != "" {
			text += "; next on " + due
		}
		return clean(text)
	}
	s := u.stocks[u.at-len(u.chores)]
	text := s.Name + ": " + s.Text(u.now())
	if s.Basis != "" {
		text += " (" + s.Basis + ")"
	}
	return clean(text)
}

// leftText is how long a stock lasts, as a range of days.
func leftText(s alerts.Stock) string {
	o := s.Out
	switch {
	case s.Empty():
		return "gone"
	case o.P50 != o.P50:
		return "not known"
	case o.P50 > 3650:
		return "years"
	case o.P10 != o.P10 || o.P90 != o.P90:
		return fmt.Sprintf("%.0f d", o.P50)
	default:
		return words.Span(o.P10, o.P90)
	}
}

func newRefillForm(e *env, t logbook.Tank, s logbook.Stock) *form {
	f := newForm(e, t, "refilled",
		&formField{label: "there now", hint: "how much, in " + s.Unit, check: func(_ *form, text string) (string, error) {
			_, err := entry.There(s, text)
			return "", err
		}},
		&formField{label: "good until", hint: "2027-03-31, if it expires", check: func(_ *form, text string) (string, error) {
			if text == "" {
				return "", nil
			}
			if _, err := time.Parse(time.DateOnly, text); err != nil {
				return "", fmt.Errorf("%q is not a date such as 2027-03-31", text)
			}
			return "", nil
		}},
		whenField(), &formField{label: "note"})
	f.intro = "How much of " + clean(s.Name) + " there is, after filling up or when looked at."
	f.save = func(f *form) (saver, error) {
		v, err := entry.There(s, f.value("there now"))
		if err != nil {
			return nil, err
		}
		at, err := f.when(f.value("when"))
		if err != nil {
			return nil, err
		}
		return adding(clean(s.Name)+": in the book", logbook.Refill{Time: at, Tank: t.Name, Stock: s.Name, Amount: v, Expires: f.value("good until"), Note: f.value("note")}), nil
	}
	return f
}

// newStockForm sets up something that is used up: by the dosing of a supplement, by the tests of a parameter, or by so
// much a day.
func newStockForm(e *env, t logbook.Tank, _ string) *form {
	f := newForm(e, t, "new stock",
		&formField{label: "name", hint: "dosing reservoir", check: needed("what is it called?")},
		&formField{label: "unit", hint: "mL for a supplement, tests for a parameter"},
		&formField{label: "supplement", hint: "used up by dosing it"},
		&formField{label: "parameter", hint: "or: used up by testing it", check: func(f *form, text string) (string, error) {
			if text == "" {
				return "", nil
			}
			return checkParameter(f, text)
		}},
		&formField{label: "per day", hint: "or: so much a day", check: func(_ *form, text string) (string, error) {
			if text == "" {
				return "", nil
			}
			_, err := entry.Number(text)
			return "", err
		}},
		&formField{label: "there now", hint: "so many of the unit"})
	f.ready = func(f *form) {
		f.field("supplement").choices = f.data.supplements
		f.field("parameter").choices = parameterNames(f.data)
	}
	f.save = func(f *form) (saver, error) {
		s := logbook.Stock{Tank: t.Name, Name: f.value("name"), Unit: f.value("unit"), Supplement: f.value("supplement")}
		given := 0
		if s.Supplement != "" {
			given++
		}
		if f.value("parameter") != "" {
			p, _ := f.parameter()
			s.Parameter = p.Name
			given++
		}
		if text := f.value("per day"); text != "" {
			v, err := entry.Number(text)
			if err != nil {
				return nil, err
			}
			s.PerDay = v
			given++
		}
		if given != 1 {
			return nil, errors.New("give one of supplement, parameter and per day: what uses it up?")
		}
		s, err := entry.Stock(s)
		if err != nil {
			return nil, err
		}
		text := f.value("there now")
		if text == "" {
			return adding(clean(s.Name)+": enter tells how much there is", s), nil
		}
		v, err := entry.There(s, text)
		if err != nil {
			return nil, err
		}
		return adding(clean(s.Name)+" in the book", s, logbook.Refill{Time: e.moment().In(t.Zone()).Truncate(time.Second), Tank: t.Name, Stock: s.Name, Amount: v}), nil
	}
	return f
}
