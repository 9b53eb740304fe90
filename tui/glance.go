package tui

import (
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

// glance is the morning look: what needs the keeper and why, then every tank with one line per parameter.
type glance struct {
	part.Page
	looks   int // so far; what belongs to an older one is dropped
	reports []alerts.Report
	drafts  map[string]logbook.Draft
	waiting []examination // that are still to be begun
	left    int           // examinations whose answers have not come
	asking  bool          // for a quick look, whose answer has not come
	settled bool          // the cursor has its place and is shown
	touched bool          // by the keeper
	was     *part.Place   // where the keeper was when the interface was left, until the tanks are known
	orders  inTurn
	tank    int // the chosen tank and line
	line    int
	top     int
	room    int    // lines of a tank in sight at most
	spots   []spot // where the lines stand, for the mouse
}

type spot struct {
	row, from, to int // its row and columns in the body
	tank, line    int
}

// goTo puts the cursor on a parameter's line, or on the tank by its name or a former one, as far as they are there.
func (g *glance) goTo(tank, parameter string) {
	for i, r := range g.reports {
		if r.Tank.Name != tank && !slices.Contains(r.Tank.Was, tank) {
			continue
		}
		g.tank = i
		for j, l := range r.Findings {
			if l.Parameter.Name == parameter {
				g.line = j
			}
		}
	}
	g.clamp()
}

// place is where the cursor stands: tank and parameter, each "" where there is none.
func (g *glance) place() (tank, parameter string) {
	l, _ := g.chosen()
	return g.report().Tank.Name, l.Parameter.Name
}

// resume goes back to where the keeper was, unless they have gone somewhere since.
func (g *glance) resume(p part.Place) tea.Cmd {
	if !g.Loaded {
		g.was = &p
		return nil
	}
	g.was = nil
	if _, there := reportOf(g.reports, p.Tank); !there || g.touched {
		return nil
	}
	g.goTo(p.Tank, p.Parameter)
	g.settled = true
	return g.reopen(p)
}

func (g *glance) clamp() {
	g.tank = max(0, min(g.tank, len(g.reports)-1))
	g.line = max(0, min(g.line, len(g.report().Findings)-1))
}

// report is that of the chosen tank; empty where there is none.
func (g *glance) report() (r alerts.Report) {
	if g.tank < len(g.reports) {
		r = g.reports[g.tank]
	}
	return r
}

func (g *glance) chosen() (l alerts.Finding, there bool) {
	if r := g.report(); g.line < len(r.Findings) {
		return r.Findings[g.line], true
	}
	return l, false
}

func (g *glance) Commands() []part.Command {
	r := g.report()
	l, lined := g.chosen()
	t, parameter := r.Tank, l.Parameter.Name
	band := part.Opens(func(e *part.Env) part.Screen { return form.NewBand(e, t, parameter, l.EveryDays) })
	if len(t.Bands) == 0 {
		band = part.Opens(part.OfTank(form.NewBandPicker, t, measuredOf(r)))
	}
	rows := slices.Concat(
		part.Moves("look", g.line, g.room, g.toLine),
		part.Under("look",
			part.On("tab right l", "next tank", g.toTank(1)).Foot(part.FootEnd+2),
			part.On("shift+tab left h", "previous tank", g.toTank(-1)),
			part.On("enter", "open", part.Opens(chartOf(t, parameter))).Foot(3).When(lined),
			part.On("a", "alerts", part.Opens(part.Of(newAlertList, g))).Foot(2),
			part.On("s", "chores and stock", part.Opens(part.OfTank(newUpkeep, t, ""))).Foot(8).Also(
				"calendar reservoir reagent"),
			part.On("J", "journal", part.Opens(part.Of(newJournal, t))).Foot(9),
			part.On("#", "table", part.Opens(part.Of(newTable, t))).Also("sheet spreadsheet rows"),
			part.On("y", "the year", part.Opens(part.OfTank(newYear, t, part.Place{}))).Foot(11).Also(
				"two tanks beside compare"),
			part.On("X", "what changed?", part.Opens(whatChanged(t))).Also("compare"),
			part.On("E", "export", part.Always(part.AskExport)).Muted()),
		part.Under("enter",
			part.On("t", "test day", part.Opens(part.OfTank(newTestDay, t, g.known(r)))).Foot(1).Also(
				"add readings measure"),
			part.On("d", "one dose", form.Opens(form.NewDose, t, parameter)).Foot(4).Also("add supplement"),
			part.On("D", "daily dosing", form.Opens(form.NewDosing, t, parameter)).Foot(part.FootEnd+1).Also(
				"add supplement per day"),
			part.On("w", "water change", form.Opens(form.NewWaterChange, t, "")).Foot(5),
			part.On("e", "event", form.Opens(form.NewEvent, t, "")).Foot(6).Also("note"),
			part.On("c", "chore done", form.Opens(form.NewChoreDone, t, "")).Foot(7)),
		part.Under("set up",
			part.On("b", "band and floor", band).Foot(10).Also("target limits"),
			part.On("M", "describe a method", form.Opens(form.NewMethod, t, parameter)),
			part.On("S", "describe a supplement", form.Opens(form.NewSupplement, t, "")),
			part.On("T", "this tank", form.Opens(form.NewTankChange, t, "")),
			part.On("n", "new tank", form.Opens(form.NewTank, t, "")),
			part.On("C", "new chore", form.Opens(form.NewChore, t, "")),
			part.On("< shift+up", "move line up", func() tea.Cmd { return g.moveLine(-1) }),
			part.On("> shift+down", "move line down", func() tea.Cmd { return g.moveLine(1) })))
	for i := range rows {
		c, do := &rows[i], rows[i].Do
		if c.Words != "new tank" {
			c.Off = c.Off || len(g.reports) == 0
			c.Do = func() tea.Cmd {
				g.settled, g.touched = true, true
				return do()
			}
		} else if len(g.reports) == 0 {
			c.Place = 1
		}
	}
	return rows
}

func (g *glance) moveLine(by int) tea.Cmd {
	r, from, to := &g.reports[g.tank], g.line, g.line+by
	if to < 0 || to >= len(r.Findings) {
		return nil
	}
	g.line = to
	g.looks++ // what is on its way has the order from before
	return g.swap(r, from, to)
}

// toTank goes so many tanks on, round the end.
func (g *glance) toTank(by int) func() tea.Cmd {
	return part.Just(func() {
		g.tank = (g.tank + by + len(g.reports)) % len(g.reports)
		g.clamp()
	})
}

func measuredOf(r alerts.Report) []string {
	measured := words.Those(r.Findings, func(l alerts.Finding) bool { return len(l.Readings) > 0 })
	return words.Of(measured, func(l alerts.Finding) string { return l.Parameter.Name })
}

// toLine goes to a line of the tank; one step past an end leads into the next tank.
func (g *glance) toLine(line int) tea.Cmd {
	switch {
	case line == len(g.reports[g.tank].Findings) && line == g.line+1 && g.tank+1 < len(g.reports):
		g.tank, line = g.tank+1, 0
	case line == -1 && g.line == 0 && g.tank > 0:
		g.tank--
		line = part.PastAny
	}
	g.line = line
	g.clamp()
	return nil
}

func (g *glance) About() part.About {
	a := part.About{Title: "the tanks", Zone: g.Moment().Location(), Waits: !g.Loaded && g.Failed == ""}
	if len(g.reports) == 0 {
		return a
	}
	tank, parameter := g.place()
	t := g.reports[g.tank].Tank
	a.Title, a.Zone = part.Clean(g.reports[0].Tank.Name), t.Zone()
	if n := len(g.reports); n > 1 {
		a.Title = words.Plural(n, "tank", "tanks")
	}
	a.Place = part.Place{Tank: tank, Parameter: parameter}
	a.Shows = part.Exported{Tank: t, Parameter: parameter, AsOf: g.Moment().In(t.Zone())}
	return a
}

func (g *glance) open() []alerts.Alert {
	var out []alerts.Alert
	for _, r := range g.reports {
		out = append(out, alerts.OnlyOpen(r.Alerts, r.AsOf)...)
	}
	alerts.Sort(out, g.Moment())
	return out
}
