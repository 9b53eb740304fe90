package tui

import (
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/logbook"
)

// glance is the morning look: what needs the keeper and why, then every tank with one line per parameter.
type glance struct {
	reader
	size
	loading
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
	case tea.KeyMsg:
		return g.press(msg)
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

func (g *glance) press(msg tea.KeyMsg) tea.Cmd {
	k, all := g.env.keys.Glance, g.env.keys.All
	if key.Matches(msg, k.NewTank) {
		return open(newTankForm(g.env, false))
	}
	if len(g.reports) == 0 {
		return nil
	}
	g.settled, g.touched = true, true
	r := g.reports[g.tank]
	parameter := ""
	if l, ok := g.chosen(); ok {
		parameter = l.Parameter.Name
	}
	switch {
	case key.Matches(msg, all.Down):
		g.move(1)
	case key.Matches(msg, all.Up):
		g.move(-1)
	case key.Matches(msg, all.First):
		g.line = 0
	case key.Matches(msg, all.Last):
		g.line = max(0, len(r.Findings)-1)
	case key.Matches(msg, all.PageDown):
		g.line += 8
	case key.Matches(msg, all.PageUp):
		g.line -= 8
	case key.Matches(msg, k.Export):
		return askExport
	case key.Matches(msg, k.LineUp):
		return g.moveLine(-1)
	case key.Matches(msg, k.LineDown):
		return g.moveLine(1)
	case key.Matches(msg, k.NextTank):
		g.tank = (g.tank + 1) % len(g.reports)
	case key.Matches(msg, k.PrevTank):
		g.tank = (g.tank + len(g.reports) - 1) % len(g.reports)
	case key.Matches(msg, k.Open) && parameter != "":
		return open(newParameterScreen(g.env, r.Tank, parameter))
	case key.Matches(msg, k.TestDay):
		return open(newTestDay(g.env, r.Tank, g.known(r)))
	case key.Matches(msg, k.Alerts):
		return open(newAlertList(g.env, g))
	case key.Matches(msg, k.Dose):
		return open(newDoseForm(g.env, r.Tank, parameter))
	case key.Matches(msg, k.Dosing):
		return open(newDosingForm(g.env, r.Tank, parameter))
	case key.Matches(msg, k.WaterChange):
		return open(newWaterChangeForm(g.env, r.Tank))
	case key.Matches(msg, k.Event):
		return open(newEventForm(g.env, r.Tank))
	case key.Matches(msg, k.Chore):
		return open(newChoreDoneForm(g.env, r.Tank))
	case key.Matches(msg, k.NewChore):
		return open(newChoreForm(g.env, r.Tank))
	case key.Matches(msg, k.Band) && len(r.Tank.Bands) == 0:
		return open(newBandPicker(g.env, r.Tank, measuredOf(r)))
	case key.Matches(msg, k.Band):
		l, _ := g.chosen()
		return open(newBandForm(g.env, r.Tank, parameter, l.EveryDays))
	case key.Matches(msg, k.Method):
		return open(newMethodForm(g.env, r.Tank, parameter))
	case key.Matches(msg, k.Supplement):
		return open(newSupplementForm(g.env, r.Tank, ""))
	case key.Matches(msg, k.Tank):
		return open(newTankChangeForm(g.env, r.Tank))
	case key.Matches(msg, k.Journal):
		return open(newJournal(g.env, r.Tank))
	case key.Matches(msg, k.Upkeep):
		return open(newUpkeep(g.env, r.Tank, ""))
	case key.Matches(msg, k.Changes):
		return open(newChanges(g.env, r.Tank, g.env.moment().AddDate(0, 0, -28)))
	}
	g.clamp()
	return nil
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

// move goes one line on, into the next tank at the end.
func (g *glance) move(by int) {
	g.line += by
	switch {
	case g.line >= len(g.reports[g.tank].Findings) && g.tank+1 < len(g.reports):
		g.tank, g.line = g.tank+1, 0
	case g.line < 0 && g.tank > 0:
		g.tank--
		g.line = max(0, len(g.reports[g.tank].Findings)-1)
	}
}

func (g *glance) Title() string {
	switch n := len(g.reports); n {
	case 0:
		return "the tanks"
	case 1:
		return clean(g.reports[0].Tank.Name)
	default:
		return plural(n, "tank", "tanks")
	}
}

func (g *glance) zone() *time.Location {
	if len(g.reports) == 0 {
		return g.env.moment().Location()
	}
	return g.reports[g.tank].Tank.Zone()
}

func (g *glance) Keys() []key.Binding {
	k, all := g.env.keys.Glance, g.env.keys.All
	if len(g.reports) == 0 {
		return []key.Binding{k.NewTank, all.Quit}
	}
	return []key.Binding{k.TestDay, k.Open, k.Alerts, k.Dose, k.WaterChange, k.Event, k.Chore, k.Upkeep, k.Journal, k.Band, all.Quit, k.Dosing, k.NextTank}
}

func (g *glance) Groups() []group {
	k, all := g.env.keys.Glance, g.env.keys.All
	return []group{
		{"look", []key.Binding{all.Down, all.Up, k.NextTank, k.PrevTank, k.Open, k.Alerts, k.Upkeep, k.Journal, k.Changes, k.Export}},
		{"enter", []key.Binding{k.TestDay, k.Dose, k.Dosing, k.WaterChange, k.Event, k.Chore}},
		{"set up", []key.Binding{k.Band, k.Method, k.Supplement, k.Tank, k.NewTank, k.NewChore, k.LineUp, k.LineDown}},
	}
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
