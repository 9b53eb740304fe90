package tui

import (
	"cmp"
	"math"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

// parameterScreen is one parameter of a tank: its chart, what was measured and done, and the reasons.
type parameterScreen struct {
	ofTank
	name string
	charted
	span   span
	log    bool
	cursor int // column of the cursor; -1: none
	over   struct {
		name string // of the parameter laid over; "": none is
		tank string // whose it is; "": the same tank's
	}
	warned []time.Time // when the hindcast would have begun to warn
	lines  part.List   // of rows
	aside  aside
	then   string // the words of a command to be run once the parameter is there
}

type span struct {
	zoom int     // index into zooms
	back float64 // days it is moved back from now
}

// zooms are the stretches of past that can be shown, in days.
func zooms() []float64 { return []float64{28, 84, 182, 365, 730, 1825, 3650, 7300} }

// usualZoom is that of twelve weeks.
const usualZoom = 1

// zoomOf is the place of a number of days among the zooms, or else another place.
func zoomOf(days float64, usual int) int {
	if i := slices.Index(zooms(), days); i >= 0 {
		return i
	}
	return usual
}

func (s *span) zoomBy(steps int) { s.zoom = max(0, min(s.zoom+steps, len(zooms())-1)) }

func (s *span) moveBy(quarters float64) {
	s.back = math.Max(0, math.Min(s.back+quarters*zooms()[s.zoom]/4, 60*365))
}

// ends are those of the chart: the past that is shown, and a third as much ahead of now, at most four weeks.
func (s *span) ends(now time.Time) (from, to time.Time) {
	past := zooms()[s.zoom]
	return now.Add(-part.Hours((s.back + past) * 24)), now.Add(part.Hours((math.Min(28, past/3) - s.back) * 24))
}

func (p *parameterScreen) chosen() (record, bool) {
	if p.lines.At < 0 || p.lines.At >= len(p.rows) {
		return record{}, false
	}
	return p.rows[p.lines.At], true
}

type aside struct {
	of    asideOf
	top   int      // the first row shown
	room  int      // rows at most
	takes []string // what there is to say of the demand; nil: not asked yet
}

type asideOf int

const (
	nothing asideOf = iota
	theReasons
	theDemand
)

func (a *aside) toggle(of asideOf) {
	if a.of == of {
		of = nothing
	}
	a.of, a.top = of, 0
}

// chartOf wants the chart of a parameter as it usually is.
func chartOf(t logbook.Tank, parameter string) part.Want {
	return part.OfTank(newParameterScreen, t, part.Place{Parameter: parameter})
}

func newParameterScreen(e *part.Env, t logbook.Tank, as part.Place) *parameterScreen {
	p := &parameterScreen{ofTank: newOfTank(e, t), name: as.Parameter, span: span{zoom: zoomOf(as.Days, usualZoom)},
		cursor: -1, log: as.Log}
	p.over.name, p.over.tank = as.Over, as.OverTank
	return p
}

func (p *parameterScreen) Init() tea.Cmd { return tea.Batch(p.load(), p.askDemand()) }

func (p *parameterScreen) load() tea.Cmd {
	q := chartQuestion{
		tank: p.tank.Name, name: p.name, over: p.over.name, overTank: cmp.Or(p.over.tank, p.tank.Name), at: p.now(),
		usual: p.Order,
	}
	q.from, q.to = p.span.ends(q.at)
	return part.AskAnew(&p.Page, q.answer, p.take)
}

func (p *parameterScreen) take(found charted) tea.Cmd {
	p.Loaded, p.charted, p.tank = true, found, found.line.Tank
	p.lines.Clamp(len(p.rows))
	then := p.then
	p.then = ""
	return part.Perform(p, then)
}

func (p *parameterScreen) Commands() []part.Command {
	line, _ := p.chosen()
	lines := p.lines.Moves("lines", len(p.rows))
	if p.aside.of != nothing {
		lines = part.Moves("lines", p.aside.top, p.aside.room-1, func(row int) tea.Cmd {
			p.aside.top = max(0, row) // and at most to the end, when it is drawn
			return nil
		})
	}
	return slices.Concat(
		part.Under("", part.On("esc", "back", part.Just(func() { p.aside.of = nothing })).When(p.aside.of != nothing)),
		part.Under("chart",
			part.On("h left", "earlier", p.earlier).Foot(3),
			part.On("l right", "later", p.later).Foot(4),
			part.On("+ =", "closer", func() tea.Cmd { return p.zoomBy(-1) }).Foot(5),
			part.On("-", "wider", p.wider).Foot(6),
			part.On("0", "to now", p.toNow).Foot(14),
			part.On("v", "cursor", part.Just(p.toggleCursor)).Foot(11),
			part.On("o", "lay another over", p.layOver).Foot(12).Afar(),
			part.On("O", "lay another tank over", p.layTankOver),
			part.On("L", "log scale", part.Just(func() { p.log = !p.log })).Foot(13).Afar(),
			part.On("H", "hindcast", p.hindcast).Afar().Also("past")),
		lines,
		part.Under("lines",
			part.On("x", line.strikeWord(), func() tea.Cmd {
				return p.mend(false)
			}).Foot(8).Afar().Also("undo delete remove take back"),
			part.On("r", "correct", func() tea.Cmd { return p.mend(true) }).Foot(9).Afar().Also("undo edit change")),
		part.Under("go on",
			part.On("W", "why", part.Just(func() { p.aside.toggle(theReasons) })).Foot(1).Afar(),
			part.On("U", "demand", p.demand).Foot(2).When(p.Loaded).Afar().Also("consumption"),
			part.On("i", "what if", part.Opens(part.Of(form.NewWhatIf, p.line))).Foot(10).When(p.Loaded).Afar().Also(
				"what-if forecast"),
			part.On("P", "plan", p.plan).When(p.Loaded).Afar().Also("dose target supplement"),
			part.On("E", "export", part.Always(part.AskExport)).Muted(),
			part.On("tab", "next parameter", func() tea.Cmd { return p.other(1) }).Foot(7),
			part.On("shift+tab", "previous parameter", func() tea.Cmd { return p.other(-1) })),
		part.Under("enter",
			part.On("d", "one dose", form.Opens(form.NewDose, p.tank, p.name)).Also("add supplement"),
			part.On("D", "daily dosing", form.Opens(form.NewDosing, p.tank, p.name)).Also("add supplement per day"),
			part.On("w", "water change", form.Opens(form.NewWaterChange, p.tank, "")),
			part.On("t", "test day", part.Opens(testDayOf(p.tank))).Also("add readings measure"),
			part.On("b", "band and floor", part.Opens(func(e *part.Env) part.Screen {
				return form.NewBand(e, p.tank, p.name, p.line.EveryDays)
			})).Also("target limits")))
}

func (p *parameterScreen) plan() tea.Cmd {
	if err := p.line.Parameter.Doseable(); err != nil {
		return part.Notice(part.RefusalText(err))
	}
	return part.Open(part.Of(form.NewPlan, p.line))
}

func (p *parameterScreen) earlier() tea.Cmd {
	switch {
	case p.cursor >= 0:
		p.cursor = max(0, p.cursor-1)
		return nil
	case p.start:
		return nothingEarlier
	}
	p.span.moveBy(1)
	return p.load()
}

func (p *parameterScreen) later() tea.Cmd {
	if p.cursor >= 0 {
		p.cursor++
		return nil
	}
	p.span.moveBy(-1)
	return p.load()
}

func (p *parameterScreen) wider() tea.Cmd {
	if p.start {
		return nothingEarlier
	}
	return p.zoomBy(1)
}

func nothingEarlier() tea.Msg { return part.NoticeMsg{Text: "there is nothing earlier than this"} }

func (p *parameterScreen) zoomBy(steps int) tea.Cmd {
	p.span.zoomBy(steps)
	return p.load()
}

func (p *parameterScreen) toNow() tea.Cmd {
	p.span.back, p.span.zoom, p.cursor = 0, usualZoom, -1
	return p.load()
}

func (p *parameterScreen) demand() tea.Cmd {
	p.aside.toggle(theDemand)
	return p.askDemand()
}

func (p *parameterScreen) askDemand() tea.Cmd {
	p.aside.takes = nil
	if p.aside.of != theDemand {
		return nil
	}
	t, parameter, name, at := p.tank, p.line.Parameter, p.name, p.now()
	return part.Ask(&p.Page, func(v *logbook.View) ([]string, error) {
		return demandSays(v, t, parameter, at)
	}, func(says []string) tea.Cmd {
		if name == p.name {
			p.aside.takes = says
		}
		return nil
	})
}

// hindcast marks when the engine would have begun to warn of the floor, or takes the marks away.
func (p *parameterScreen) hindcast() tea.Cmd {
	if p.warned != nil || !p.Loaded {
		p.warned = nil
		return nil
	}
	t, parameter, name := p.tank, p.line.Parameter, p.name
	return tea.Batch(part.Notice("asking the hindcast…"),
		part.Ask(&p.Page, func(v *logbook.View) ([]time.Time, error) {
			return warnedAt(v, t, parameter)
		}, func(warned []time.Time) tea.Cmd { return p.mark(name, warned) }))
}

// mark marks when it would have warned of a parameter, unless another one is shown by now.
func (p *parameterScreen) mark(name string, warned []time.Time) tea.Cmd {
	if name != p.name {
		return nil
	}
	p.warned = warned
	if len(warned) == 0 {
		return part.Notice("the hindcast finds no moment at which it would have warned of the floor")
	}
	return part.Notice("! marks where it would have warned: " + words.Plural(len(warned), "time", "times"))
}

// layOver goes through the tank's other parameters and ends with none.
func (p *parameterScreen) layOver() tea.Cmd {
	names := words.Those(p.others, func(name string) bool { return name != p.name })
	if len(names) == 0 {
		return part.Notice("nothing else is measured in this tank")
	}
	if p.over.tank != "" {
		p.over.name = ""
	}
	p.over.name, p.over.tank = nextOf(names, p.over.name), ""
	return p.load()
}

// layTankOver goes through the other tanks that measure this parameter and ends with none.
func (p *parameterScreen) layTankOver() tea.Cmd {
	if len(p.tanks) == 0 {
		return part.Notice("no other tank has readings of " + part.Clean(p.name))
	}
	p.over.name, p.over.tank = "", nextOf(p.tanks, p.over.tank)
	if p.over.tank != "" {
		p.over.name = p.name
	}
	return p.load()
}

// mend opens the form that strikes or corrects the chosen line, or says why it cannot.
func (p *parameterScreen) mend(correct bool) tea.Cmd {
	line, there := p.chosen()
	switch {
	case p.aside.of != nothing:
		return part.Notice("esc brings the list back; the lines to strike or correct are in it")
	case !there:
		return part.Notice("there is no line here")
	}
	return line.mend(p.Env, p.tank, correct)
}

func (p *parameterScreen) other(by int) tea.Cmd {
	n := len(p.others)
	if n == 0 {
		return nil
	}
	at := slices.Index(p.others, p.name)
	p.name = p.others[(at+by+n)%n]
	p.lines, p.warned, p.over.name, p.over.tank = part.List{}, nil, "", ""
	if p.aside.of == theDemand {
		p.aside.of = nothing
	}
	return p.load()
}

func (p *parameterScreen) toggleCursor() {
	if p.cursor >= 0 {
		p.cursor = -1
		return
	}
	c := p.chart(p.chartHeight())
	p.cursor = max(0, c.Column(p.now(), c.Columns(p.W, p.chartHeight()))-1)
}

func (p *parameterScreen) About() part.About {
	from, _ := p.span.ends(p.now())
	return part.About{
		Title: part.Clean(p.tank.Name) + " · " + part.Clean(p.name),
		Zone:  p.tank.Zone(),
		Place: part.Place{Screen: part.OnChart, Tank: p.tank.Name, Parameter: p.name, Days: zooms()[p.span.zoom], Log: p.log,
			Over: p.over.name, OverTank: p.over.tank},
		Shows: part.Exported{Tank: p.tank, Parameter: p.name, From: from, AsOf: p.now()},
	}
}

func (p *parameterScreen) Click(row, _ int) {
	if p.aside.of == nothing {
		p.lines.Hit(row, len(p.rows))
	}
}

// Wheel over the chart moves through time, the way the list below goes: downwards is earlier.
func (p *parameterScreen) Wheel(row, by int) (tea.Cmd, bool) {
	switch {
	case !p.Loaded || row >= p.lines.Row:
		return nil, false
	case by < 0:
		return p.later(), true
	default:
		return p.earlier(), true
	}
}
