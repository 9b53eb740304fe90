package tui

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"

	"leadline/alerts"
	"leadline/logbook"
)

// glance is the morning look: what needs the keeper and why, then every tank with one line per parameter.
type glance struct {
	reader
	size
	env     *env
	asked   int
	loaded  bool
	reports []alerts.Report
	drafts  map[string]logbook.Draft
	tank    int // the chosen tank and line
	line    int
	top     int
}

// glanceMsg answers glance.load.
type glanceMsg struct {
	asked   int
	reports []alerts.Report
	drafts  map[string]logbook.Draft
}

func newGlance(e *env) *glance { return &glance{env: e} }

func (g *glance) Init() tea.Cmd { return g.load() }

func (g *glance) load() tea.Cmd {
	g.asked = g.env.ask()
	asked, at := g.asked, g.env.moment()
	return g.env.read(func(v *logbook.View) (tea.Msg, error) {
		tanks, err := v.Tanks()
		if err != nil {
			return nil, err
		}
		msg := glanceMsg{asked: asked, drafts: map[string]logbook.Draft{}}
		for _, t := range tanks {
			r, err := alerts.Examine(v, t.Name, at.In(zoneOf(t)))
			if err != nil {
				return nil, err
			}
			msg.reports = append(msg.reports, r)
			d, ok, err := v.Draft(t.Name)
			if err != nil {
				return nil, err
			}
			if ok {
				msg.drafts[t.Name] = d
			}
		}
		return msg, nil
	})
}

func (g *glance) Update(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case changedMsg:
		return g.load()
	case glanceMsg:
		if msg.asked != g.asked {
			return nil
		}
		first := !g.loaded
		g.loaded, g.reports, g.drafts = true, msg.reports, msg.drafts
		g.clamp()
		if first && len(g.reports) == 0 {
			return open(newTankForm(g.env, true))
		}
		if first {
			g.choose()
		}
		return nil
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
	for i, r := range g.reports {
		for j, l := range r.Lines {
			if r.Tank.Name == open[0].Tank && l.Parameter.Name == open[0].Parameter {
				g.tank, g.line = i, j
			}
		}
	}
}

func (g *glance) clamp() {
	g.tank = max(0, min(g.tank, len(g.reports)-1))
	n := 0
	if len(g.reports) > 0 {
		n = len(g.reports[g.tank].Lines)
	}
	g.line = max(0, min(g.line, n-1))
}

// chosen is the line under the cursor.
func (g *glance) chosen() (alerts.Line, bool) {
	if len(g.reports) == 0 || len(g.reports[g.tank].Lines) == 0 {
		return alerts.Line{}, false
	}
	return g.reports[g.tank].Lines[g.line], true
}

func (g *glance) press(msg tea.KeyMsg) tea.Cmd {
	k, all := g.env.keys.Glance, g.env.keys.All
	if key.Matches(msg, k.NewTank) {
		return open(newTankForm(g.env, false))
	}
	if len(g.reports) == 0 {
		return nil
	}
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
		g.line = max(0, len(r.Lines)-1)
	case key.Matches(msg, all.PageDown):
		g.line += 8
	case key.Matches(msg, all.PageUp):
		g.line -= 8
	case key.Matches(msg, k.NextTank):
		g.tank = (g.tank + 1) % len(g.reports)
	case key.Matches(msg, k.PrevTank):
		g.tank = (g.tank + len(g.reports) - 1) % len(g.reports)
	case key.Matches(msg, k.Open) && parameter != "":
		return open(newParameterScreen(g.env, r.Tank, parameter))
	case key.Matches(msg, k.TestDay):
		return open(newTestDay(g.env, r.Tank))
	case key.Matches(msg, k.Alerts):
		return open(newAlertList(g.env, g.reports))
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
	case key.Matches(msg, k.Band) && len(r.Lines) == 0:
		return open(newBandPicker(g.env, r.Tank))
	case key.Matches(msg, k.Band):
		return open(newBandForm(g.env, r.Tank, parameter))
	case key.Matches(msg, k.Method):
		return open(newMethodForm(g.env, r.Tank, parameter))
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

// move goes one line on, into the next tank at the end.
func (g *glance) move(by int) {
	g.line += by
	switch {
	case g.line >= len(g.reports[g.tank].Lines) && g.tank+1 < len(g.reports):
		g.tank, g.line = g.tank+1, 0
	case g.line < 0 && g.tank > 0:
		g.tank--
		g.line = max(0, len(g.reports[g.tank].Lines)-1)
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
		return time.Local
	}
	return zoneOf(g.reports[g.tank].Tank)
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
		{"look", []key.Binding{all.Down, all.Up, k.NextTank, k.PrevTank, k.Open, k.Alerts, k.Upkeep, k.Journal, k.Changes}},
		{"enter", []key.Binding{k.TestDay, k.Dose, k.Dosing, k.WaterChange, k.Event, k.Chore}},
		{"set up", []key.Binding{k.Band, k.Method, k.Tank, k.NewTank, k.NewChore}},
	}
}

func (g *glance) View() string {
	t := g.env.theme
	switch {
	case !g.loaded:
		return "\n  " + t.Dim.Render("reading the book…")
	case len(g.reports) == 0:
		return strings.Join(append([]string{"", "  This book has no tank yet."}, wrap("  Press n to set one up: a name is enough.", g.w, 2)...), "\n")
	}
	rows := g.attention()
	detail := g.detail()
	legend := g.legend()
	room := g.h - len(rows) - 1
	tables := g.tables(room)
	out := append(append(rows, ""), tables...)
	if left := g.h - len(out); left >= len(detail)+1 && len(detail) > 0 {
		out = append(append(out, ""), detail...)
	}
	if left := g.h - len(out); left >= 2 && legend != "" {
		out = append(out, strings.Split(strings.Repeat("\n", left-2), "\n")...)
		out = append(out, legend)
	}
	return strings.Join(out, "\n")
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
	slices.SortStableFunc(out, func(a, b alerts.Alert) int {
		return cmp.Or(-cmp.Compare(a.Severity, b.Severity), a.Since.Compare(b.Since))
	})
	return out
}

// attention says what needs the keeper, in sentences; at most a third of the screen.
func (g *glance) attention() []string {
	t := g.env.theme
	budget := max(1, g.h/3)
	var rows []string
	for _, r := range g.reports {
		if d, ok := g.drafts[r.Tank.Name]; ok {
			rows = append(rows, cut(t.Warn.Render("t ")+fmt.Sprintf("a test day of %s is half typed (%s): press t to go on",
				clean(r.Tank.Name), d.Started.In(zoneOf(r.Tank)).Format("2 Jan 15:04")), g.w))
		}
	}
	open := g.open()
	if len(open) == 0 {
		return append(rows, g.quiet()...)
	}
	for i, a := range open {
		room := budget - len(rows)
		if rest := len(open) - i; room <= 1 && rest > 1 && len(rows) > 0 {
			rows = append(rows, t.Dim.Render(cut(fmt.Sprintf("  and %d more: press a", rest), g.w)))
			break
		}
		if i < len(open)-1 {
			room--
		}
		long := 3
		if a.Severity < alerts.Warning {
			long = 1 // the rest is said of the line when it is chosen
		}
		most := max(1, min(long, room))
		rows = append(rows, g.sentence(a, most)...)
	}
	return rows
}

// sentence is an alert with its sign, hanging under itself.
func (g *glance) sentence(a alerts.Alert, most int) []string {
	t := g.env.theme
	text := clean(a.Text)
	if len(g.reports) > 1 {
		text = clean(a.Tank) + ": " + text
	}
	rows := wrap(text, g.w-2, most)
	for i := range rows {
		lead := "  "
		if i == 0 {
			lead = severityStyle(a.Severity, t).Render(t.Signs.Alert) + " "
		}
		rows[i] = lead + rows[i]
	}
	return rows
}

// quiet is said when no alert is open; it never claims more than is known.
func (g *glance) quiet() []string {
	unknown, lines, untested := 0, 0, 0
	var next alerts.Line
	for _, r := range g.reports {
		for _, l := range r.Lines {
			lines++
			if len(l.Readings) == 0 {
				untested++
				continue
			}
			if l.BandState == alerts.BandUnknown || l.Assessment.Direction == 0 {
				unknown++
			}
			if !l.Due.IsZero() && (next.Due.IsZero() || l.Due.Before(next.Due)) {
				next = l
			}
		}
	}
	if lines == untested {
		return hang("No readings yet: press t to enter the first test day.", g.w, 2)
	}
	text := "Nothing asks for you now."
	if untested > 0 {
		text += " " + plural(untested, "parameter was", "parameters were") + " never tested."
	}
	if unknown > 0 {
		text += " Too few readings to tell where " + plural(unknown, "parameter is", "parameters are") + " heading."
	}
	if !next.Due.IsZero() {
		text += fmt.Sprintf(" Next test: %s of %s, %s.", next.Parameter.Name, clean(next.Tank.Name), next.Due.In(zoneOf(next.Tank)).Format("Mon 2 Jan"))
	}
	return hang(text, g.w, 2)
}

func severityStyle(s alerts.Severity, t *theme) lipgloss.Style {
	switch s {
	case alerts.Urgent:
		return t.Bad
	case alerts.Warning:
		return t.Warn
	default:
		return t.Accent
	}
}

// sideWidth is what a tank needs to stand beside another.
const sideWidth = 76

// tables draws the tanks: side by side when wide, one below another when they fit, else one at a time under tabs.
func (g *glance) tables(room int) []string {
	n := len(g.reports)
	if n == 1 {
		return g.table(0, g.w, room, false)
	}
	if abreast := min(n, (g.w+3)/(sideWidth+3)); abreast > 1 && g.tallest()+1 <= room {
		first := g.tank / abreast * abreast
		w := (g.w - 3*(abreast-1)) / abreast
		var blocks [][]string
		for i := first; i < min(n, first+abreast); i++ {
			blocks = append(blocks, g.table(i, w, room, true))
		}
		return sideBySide(blocks, w, 3)
	}
	stacked := 0
	for _, r := range g.reports {
		stacked += len(r.Lines) + 3
	}
	if stacked-1 <= room {
		var out []string
		for i := range g.reports {
			if i > 0 {
				out = append(out, "")
			}
			out = append(out, g.table(i, g.w, room, true)...)
		}
		return out
	}
	return append([]string{g.tabs()}, g.table(g.tank, g.w, room-1, false)...)
}

func (g *glance) tallest() int {
	n := 0
	for _, r := range g.reports {
		n = max(n, len(r.Lines)+2)
	}
	return n
}

// tabs names the tanks, each with the number of its open alerts.
func (g *glance) tabs() string {
	t := g.env.theme
	var out []string
	for i, r := range g.reports {
		out = append(out, g.tankTitle(r, i == g.tank))
	}
	return cut(strings.Join(out, t.Dim.Render("  ")), g.w)
}

func (g *glance) tankTitle(r alerts.Report, chosen bool) string {
	t := g.env.theme
	name := clean(r.Tank.Name)
	open := 0
	for _, a := range r.Alerts {
		if a.Open(r.AsOf) {
			open++
		}
	}
	count := ""
	if open > 0 {
		count = t.Warn.Render(fmt.Sprintf(" %s%d", t.Signs.Alert, open))
	}
	if chosen {
		return t.Title.Render("["+name+"]") + count
	}
	return " " + name + " " + count
}

// table is one tank: its name where asked, the heads, one row per parameter.
func (g *glance) table(tank, w, room int, named bool) []string {
	t := g.env.theme
	r := g.reports[tank]
	var out []string
	if named {
		out = append(out, g.tankTitle(r, tank == g.tank))
	}
	if len(r.Lines) == 0 {
		return append(out, t.Dim.Render(cut("  no readings yet: t enters a test day, b sets a band", w)))
	}
	measured := []alerts.Report{r}
	if w == g.w {
		measured = g.reports // one below another: the columns stand in line
	}
	columns := g.columns(measured, w)
	var head strings.Builder
	head.WriteString("  ")
	for _, c := range columns {
		head.WriteString(" " + c.fit(c.head))
	}
	body := max(1, room-len(out)-1)
	out = append(out, t.Head.Render(cut(strings.TrimRight(head.String(), " "), w)))
	top := 0
	if tank == g.tank {
		g.top = window(g.top, g.line, len(r.Lines), body)
		top = g.top
	}
	for i := top; i < min(len(r.Lines), top+body); i++ {
		out = append(out, g.row(r, i, columns, tank == g.tank && i == g.line, w))
	}
	return out
}

func (g *glance) row(r alerts.Report, i int, columns []column, chosen bool, w int) string {
	t := g.env.theme
	l := r.Lines[i]
	lead := " "
	if chosen {
		lead = t.Accent.Render(t.Signs.Chosen)
	}
	var row strings.Builder
	row.WriteString(lead + mark(l, r.AsOf, t))
	for _, c := range columns {
		cell := c.cell(l, c.w)
		if c.head == "parameter" && chosen {
			cell = t.Accent.Render(cell)
		}
		row.WriteString(" " + c.fit(cell))
	}
	return cut(strings.TrimRight(row.String(), " "), w)
}

// mark is the sign of the gravest alert of a line: one that is open, or one that was answered.
func mark(l alerts.Line, asOf time.Time, t *theme) string {
	if len(l.Alerts) == 0 {
		return " "
	}
	if a := l.Alerts[0]; a.Open(asOf) {
		return severityStyle(a.Severity, t).Render(t.Signs.Alert)
	}
	return t.Dim.Render(t.Signs.Seen)
}

// column is a column of the table. keep is its rank when there is not room for all: 0 stays longest.
type column struct {
	head  string
	w     int
	right bool
	keep  int
	cell  func(l alerts.Line, w int) string
}

func (c column) fit(s string) string {
	if c.right {
		return padLeft(s, c.w)
	}
	return pad(s, c.w)
}

const sparkDays = 84

// columns chooses what there is room for and makes each as wide as what it holds.
func (g *glance) columns(rs []alerts.Report, w int) []column {
	t := g.env.theme
	latest := func(l alerts.Line, with func(logbook.Reading) string) string {
		if n := len(l.Readings); n > 0 {
			return with(l.Readings[n-1])
		}
		return "—"
	}
	text := func(f func(alerts.Line) string) func(alerts.Line, int) string {
		return func(l alerts.Line, _ int) string { return f(l) }
	}
	asOf := func(l alerts.Line) time.Time { return rs[0].AsOf.In(zoneOf(l.Tank)) }
	all := []column{
		{"parameter", 0, false, 0, text(func(l alerts.Line) string { return clean(l.Parameter.Name) })},
		{"latest", 0, true, 0, text(func(l alerts.Line) string {
			return latest(l, func(x logbook.Reading) string { return valueText(l.Parameter, x) })
		})},
		{"", 0, false, 5, text(func(l alerts.Line) string { return clean(l.Parameter.Unit) })},
		{"age", 0, true, 4, text(func(l alerts.Line) string {
			return latest(l, func(x logbook.Reading) string { return ageText(x.Time, asOf(l)) })
		})},
		{"level 80 %", 0, true, 8, text(rangeText)},
		{"in your band", 20, false, 3, func(l alerts.Line, w int) string { return ruler(l, w, t) }},
		{"", 0, false, 9, text(func(l alerts.Line) string { return bandStyle(l.BandState, t).Render(standing(l.BandState)) })},
		{"12 weeks", 12, false, 6, func(l alerts.Line, w int) string {
			return sparkline(l.Readings, l.Band, asOf(l), sparkDays, w, t.Signs)
		}},
		{"heading", 0, false, 1, text(func(l alerts.Line) string { return headingText(l, t.Signs) })},
		{"to floor", 0, true, 2, text(func(l alerts.Line) string { return floorStyle(l, t).Render(floorShort(l)) })},
		{"next test", 0, true, 7, text(func(l alerts.Line) string { return dueStyle(l, asOf(l), t).Render(dueText(l, asOf(l))) })},
	}
	for i, c := range all {
		if c.w > 0 {
			continue
		}
		all[i].w = width(c.head)
		for _, r := range rs {
			for _, l := range r.Lines {
				all[i].w = max(all[i].w, width(c.cell(l, 0)))
			}
		}
	}
	return shrink(all, w-2)
}

// shrink narrows the ruler, then leaves out the columns of the highest rank until the rest fits.
func shrink(all []column, w int) []column {
	for {
		total, ruled, worst := 0, -1, -1
		for i, c := range all {
			total += c.w + 1
			if c.head == "in your band" {
				ruled = i
			}
			if worst < 0 || c.keep > all[worst].keep {
				worst = i
			}
		}
		over := total - w
		if over <= 0 {
			return all
		}
		if ruled >= 0 && all[ruled].w-over >= 13 {
			all[ruled].w -= over
			return all
		}
		if len(all) <= 2 {
			all[0].w = max(4, all[0].w-over)
			return all
		}
		all = append(all[:worst:worst], all[worst+1:]...)
	}
}

func floorStyle(l alerts.Line, t *theme) lipgloss.Style {
	switch {
	case l.Assessment.BottomedOut:
		return t.Bad
	case l.Assessment.BottomingOut:
		return t.Warn
	default:
		return t.Plain
	}
}

func dueStyle(l alerts.Line, now time.Time, t *theme) lipgloss.Style {
	if isDue(l, now) {
		return t.Warn
	}
	return t.Plain
}

// detail says the chosen line in full.
func (g *glance) detail() []string {
	l, ok := g.chosen()
	if !ok {
		return nil
	}
	r := g.reports[g.tank]
	text := fmt.Sprintf("%s: no reading yet", clean(l.Parameter.Name))
	if l.Assessment.N > 0 {
		text = fmt.Sprintf("%s, %s: level %s, %s", clean(l.Parameter.Name), standing(l.BandState), l.LevelText(), l.SlopeText())
		if !math.IsNaN(l.Assessment.Floor) {
			text += "; " + l.FloorText(r.AsOf)
		}
	}
	return hang(clean(text), g.w, 3)
}

// legend explains the picture in one row.
func (g *glance) legend() string {
	s := g.env.theme.Signs
	full := fmt.Sprintf("%s%s%s your band  %s floor  %s level now  %s%s where it may be in 14 days", s.Left, s.Dash, s.Right, s.Floor, s.Level, s.Soon, s.Soon)
	if width(full) > g.w {
		return ""
	}
	return g.env.theme.Dim.Render(full)
}
