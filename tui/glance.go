package tui

import (
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
)

// glance is the morning look: what needs the keeper and why, then every tank with one line per parameter.
type glance struct {
	page
	env     *env
	asked   int
	reports []alerts.Report
	drafts  map[string]logbook.Draft
	waiting []tea.Cmd // examinations that are still to be begun
	left    int       // examinations whose answers have not come
	asking  bool      // for a quick look, whose answer has not come
	settled bool      // the cursor has its place and is shown
	touched bool      // by the keeper
	was     *place    // where the keeper was when the interface was left, until the tanks are known
	orders  inTurn
	tank    int // the chosen tank and line
	line    int
	top     int
	spots   []spot // where the lines stand, for the mouse
}

func newGlance(e *env) *glance { return &glance{env: e} }

func (g *glance) Init() tea.Cmd { return g.load() }

func (g *glance) Update(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case changedMsg:
		return g.load()
	case glanceMsg:
		if msg.asked != g.asked {
			return nil
		}
		return g.look(msg)
	case lineMsg:
		return g.take(msg.asked, msg.line.Tank.Name, func(r *alerts.Report) { r.Put(msg.line) })
	case notExaminedMsg:
		return tea.Batch(g.take(msg.asked, "", nil), func() tea.Msg { return msg.why })
	case placeMsg:
		return g.resume(msg.place)
	case orderedMsg:
		if msg.err != nil {
			return tea.Batch(g.load(), func() tea.Msg { return failedMsg(msg) })
		}
		return g.load()
	case glanceUpkeepMsg:
		return g.take(msg.asked, msg.tank, func(r *alerts.Report) { r.PutUpkeep(msg.upkeep) })
	}
	return nil
}

// choose starts on the line that most needs the keeper.
func (g *glance) choose() {
	open := g.open()
	if len(open) == 0 {
		return
	}
	g.goTo(open[0].Tank, open[0].Parameter)
}

// goTo puts the cursor on the line of a parameter, or on the tank, as far as they are there.
func (g *glance) goTo(tank, parameter string) {
	for i, r := range g.reports {
		if r.Tank.Name != tank {
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
	if g.tank < len(g.reports) {
		tank = g.reports[g.tank].Tank.Name
	}
	if l, ok := g.chosen(); ok {
		parameter = l.Parameter.Name
	}
	return tank, parameter
}

func (g *glance) clamp() {
	g.tank = max(0, min(g.tank, len(g.reports)-1))
	n := 0
	if len(g.reports) > 0 {
		n = len(g.reports[g.tank].Findings)
	}
	g.line = max(0, min(g.line, n-1))
}

// chosen is the line under the cursor.
func (g *glance) chosen() (alerts.Finding, bool) {
	if len(g.reports) == 0 || len(g.reports[g.tank].Findings) == 0 {
		return alerts.Finding{}, false
	}
	return g.reports[g.tank].Findings[g.line], true
}

func (g *glance) commands() []command {
	var r alerts.Report
	if len(g.reports) > 0 {
		r = g.reports[g.tank]
	}
	l, lined := g.chosen()
	t, parameter := r.Tank, l.Parameter.Name
	form := func(kind formKind, name string) func() tea.Cmd { return opens(formOf{kind, t, name}) }
	band := opens(bandOf{t, parameter, l.EveryDays})
	if len(t.Bands) == 0 {
		band = opens(bandsOf{t, measuredOf(r)})
	}
	rows := slices.Concat(
		moves("look", g.line, 8, g.toLine),
		under("look",
			on("tab right", "next tank", g.toTank(1)).foot(footEnd+2),
			on("shift+tab left h", "previous tank", g.toTank(-1)),
			on("enter l", "open", opens(chart(t, parameter))).foot(2).when(lined),
			on("a", "alerts", opens(alertsOf{})).foot(3),
			on("s", "chores and stock", opens(upkeepOf{tank: t})).foot(8).also("calendar reservoir reagent"),
			on("J", "journal", opens(journalOf{t})).foot(9),
			on("x", "what changed?", opens(changesOf{tank: t})).also("compare"),
			on("E", "export", always(askExport)).muted()),
		under("enter",
			on("t", "test day", opens(testDayOf{t, g.known(r)})).foot(1).also("add readings measure"),
			on("d", "one dose", form(oneDose, parameter)).foot(4).also("add supplement"),
			on("D", "daily dosing", form(dailyDosing, parameter)).foot(footEnd+1).also("add supplement per day plan"),
			on("w", "water change", form(waterChange, "")).foot(5),
			on("e", "event", form(event, "")).foot(6).also("note"),
			on("c", "chore done", form(choreDone, "")).foot(7)),
		under("set up",
			on("b", "band and floor", band).foot(10).also("target limits"),
			on("m", "describe a method", form(aMethod, parameter)),
			on("S", "describe a supplement", form(aSupplement, "")),
			on("T", "this tank", form(thisTank, "")),
			on("n", "new tank", opens(formOf{kind: newTank})),
			on("C", "new chore", form(newChore, "")),
			on("< shift+up", "move line up", func() tea.Cmd { return g.moveLine(-1) }),
			on("> shift+down", "move line down", func() tea.Cmd { return g.moveLine(1) })))
	for i := range rows {
		c, do := &rows[i], rows[i].do
		if c.words != "new tank" {
			c.off = c.off || len(g.reports) == 0
			c.do = func() tea.Cmd {
				g.settled, g.touched = true, true
				return do()
			}
		} else if len(g.reports) == 0 {
			c.place = 1
		}
	}
	return rows
}

// toTank goes so many tanks on, round the end.
func (g *glance) toTank(by int) func() tea.Cmd {
	return just(func() {
		g.tank = (g.tank + by + len(g.reports)) % len(g.reports)
		g.clamp()
	})
}

// measuredOf names the parameters a tank has readings of.
func measuredOf(r alerts.Report) []string {
	var out []string
	for _, l := range r.Findings {
		if len(l.Readings) > 0 {
			out = append(out, l.Parameter.Name)
		}
	}
	return out
}

// toLine goes to a line of the tank; one step past an end leads into the next tank.
func (g *glance) toLine(line int) tea.Cmd {
	switch {
	case line == len(g.reports[g.tank].Findings) && line == g.line+1 && g.tank+1 < len(g.reports):
		g.tank, line = g.tank+1, 0
	case line == -1 && g.line == 0 && g.tank > 0:
		g.tank--
		line = pastAny
	}
	g.line = line
	g.clamp()
	return nil
}

func (g *glance) about() about {
	a := about{title: "the tanks", zone: g.env.moment().Location(), waits: !g.loaded && g.failed == ""}
	if len(g.reports) == 0 {
		return a
	}
	tank, parameter := g.place()
	t := g.reports[g.tank].Tank
	a.title, a.zone = clean(g.reports[0].Tank.Name), t.Zone()
	if n := len(g.reports); n > 1 {
		a.title = words.Plural(n, "tank", "tanks")
	}
	a.place = place{Tank: tank, Parameter: parameter}
	a.shows = Exported{Tank: t, Parameter: parameter, AsOf: g.env.moment().In(t.Zone())}
	return a
}

// open lists the alerts of all tanks that still ask for the keeper.
func (g *glance) open() []alerts.Alert {
	var out []alerts.Alert
	for _, r := range g.reports {
		for _, a := range r.Alerts {
			if a.Open(r.AsOf) {
				out = append(out, a)
			}
		}
	}
	alerts.Sort(out, g.env.moment())
	return out
}
