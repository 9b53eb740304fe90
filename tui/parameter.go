package tui

import (
	"fmt"
	"math"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
)

// parameterScreen is one parameter of a tank: its chart, what was measured and done, and the reasons.
type parameterScreen struct {
	page
	env    *env
	tank   logbook.Tank
	name   string
	asked  int
	line   alerts.Finding
	others []string // the tank's parameters, for next and previous
	shown  []logbook.Reading
	span   span
	log    bool
	cursor int // column of the cursor; -1: none
	over   overlay
	warned []time.Time // when the hindcast would have begun to warn
	lines  recordLines
	aside  aside
	then   string // the words of a command to be run once the parameter is there
}

// span is the stretch of time a chart shows.
type span struct {
	zoom  int     // index into zooms
	back  float64 // days it is moved back from now
	start bool    // there is nothing earlier
}

// zooms are the stretches of past that can be shown, in days.
func zooms() []float64 { return []float64{28, 84, 182, 365, 730, 1825, 3650, 7300} }

// usualZoom is that of twelve weeks.
const usualZoom = 1

func (s *span) zoomBy(steps int) { s.zoom = max(0, min(s.zoom+steps, len(zooms())-1)) }

// moveBy goes back by quarters of the stretch.
func (s *span) moveBy(quarters float64) {
	s.back = math.Max(0, math.Min(s.back+quarters*zooms()[s.zoom]/4, 60*365))
}

// ends are those of the chart: the past that is shown, and a third as much ahead of now, at most four weeks.
func (s *span) ends(now time.Time) (from, to time.Time) {
	past := zooms()[s.zoom]
	return now.Add(-hours((s.back + past) * 24)), now.Add(hours((math.Min(28, past/3) - s.back) * 24))
}

// recordLines are what was measured and done in the stretch of time.
type recordLines struct {
	list
	rows     []record
	unlisted bool // older readings of the stretch are not in rows
}

// chosen is the line under the cursor.
func (l *recordLines) chosen() (record, bool) {
	if l.at < 0 || l.at >= len(l.rows) {
		return record{}, false
	}
	return l.rows[l.at], true
}

// aside is what is read in place of the lines.
type aside struct {
	of    asideOf
	top   int      // the first row shown
	takes []string // what there is to say of the demand; nil: not asked yet
}

type asideOf int

const (
	nothing asideOf = iota
	theReasons
	theDemand
)

// toggle opens one of the two, or closes it.
func (a *aside) toggle(of asideOf) {
	if a.of == of {
		of = nothing
	}
	a.of, a.top = of, 0
}

// mostListed is how many readings the list beneath the chart holds; a window can have a million.
const mostListed = 2000

func newParameterScreen(e *env, t logbook.Tank, as place) *parameterScreen {
	p := &parameterScreen{env: e, tank: t, name: as.Parameter, span: span{zoom: usualZoom}, cursor: -1, log: as.Log}
	if i := slices.Index(zooms(), as.Days); i >= 0 {
		p.span.zoom = i
	}
	p.over.name, p.over.tank = as.Over, as.OverTank
	return p
}

func (p *parameterScreen) Init() tea.Cmd { return p.load() }

func (p *parameterScreen) now() time.Time { return p.env.moment().In(p.tank.Zone()) }

func hours(h float64) time.Duration { return time.Duration(h * float64(time.Hour)) }

func (p *parameterScreen) Update(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case changedMsg:
		return tea.Batch(p.load(), p.askDemand())
	case parameterMsg:
		if msg.asked == p.asked {
			return p.take(msg)
		}
	case demandMsg:
		if msg.screen == p && msg.name == p.name {
			p.aside.takes = msg.says
		}
	case hindcastMsg:
		if msg.screen == p && msg.name == p.name {
			p.warned = msg.warned
			if len(msg.warned) == 0 {
				return notice("the hindcast finds no moment at which it would have warned of the floor")
			}
			return notice(fmt.Sprintf("! marks where it would have warned: %s", words.Plural(len(msg.warned), "time", "times")))
		}
	}
	return nil
}

func (p *parameterScreen) take(msg parameterMsg) tea.Cmd {
	p.loaded, p.line, p.tank, p.others, p.shown = true, msg.line, msg.line.Tank, msg.others, msg.shown
	p.lines.rows, p.lines.unlisted = msg.rows, msg.unlisted
	p.lines.clamp(len(p.lines.rows))
	p.over.tanks, p.over.drawn = msg.tanks, msg.laid
	p.span.start = !msg.earlier
	then := p.then
	p.then = ""
	return perform(p, then)
}

func (p *parameterScreen) commands() []command {
	form := func(kind formKind) func() tea.Cmd { return opens(formOf{kind, p.tank, p.name}) }
	lines := p.lines.moves("lines", len(p.lines.rows))
	if p.aside.of != nothing {
		lines = moves("lines", p.aside.top, 5, func(row int) tea.Cmd {
			p.aside.top = max(0, row) // and at most to the end, when it is drawn
			return nil
		})
	}
	return slices.Concat(
		under("", on("esc", "back", just(func() { p.aside.of = nothing })).when(p.aside.of != nothing)),
		under("chart",
			on("h left", "earlier", p.earlier).foot(3),
			on("l right", "later", p.later).foot(4),
			on("+ =", "closer", func() tea.Cmd { return p.zoomBy(-1) }).foot(5),
			on("-", "wider", p.wider).foot(6),
			on("0", "to now", p.toNow).foot(14),
			on("v", "cursor", just(p.toggleCursor)).foot(11),
			on("o", "lay another over", p.layOver).foot(12).afar(),
			on("O", "lay another tank over", p.layTankOver),
			on("L", "log scale", just(func() { p.log = !p.log })).foot(13).afar(),
			on("H", "hindcast", p.hindcast).afar().also("past")),
		lines,
		under("lines",
			on("x", "strike", func() tea.Cmd { return p.mend(false) }).foot(8).afar().also("undo delete remove take back"),
			on("c", "correct", func() tea.Cmd { return p.mend(true) }).foot(9).afar().also("undo edit change")),
		under("go on",
			on("w", "why", just(func() { p.aside.toggle(theReasons) })).foot(1).afar(),
			on("u", "demand", p.demand).foot(2).when(p.loaded).afar().also("consumption"),
			on("i", "what if", opens(whatIfOf{p.line})).foot(10).when(p.loaded).afar().also("what-if forecast plan"),
			on("E", "export", always(askExport)).muted(),
			on("n tab", "next parameter", func() tea.Cmd { return p.other(1) }).foot(7),
			on("p shift+tab", "previous parameter", func() tea.Cmd { return p.other(-1) })),
		under("enter",
			on("d", "one dose", form(oneDose)).also("add supplement"),
			on("D", "daily dosing", form(dailyDosing)).also("add supplement per day plan"),
			on("t", "test day", opens(testDayOf{tank: p.tank})).also("add readings measure"),
			on("b", "band and floor", opens(bandOf{p.tank, p.name, p.line.EveryDays})).also("target limits")))
}

func (p *parameterScreen) earlier() tea.Cmd {
	switch {
	case p.cursor >= 0:
		p.cursor = max(0, p.cursor-1)
		return nil
	case p.span.start:
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
	if p.span.start {
		return nothingEarlier
	}
	return p.zoomBy(1)
}

func nothingEarlier() tea.Msg { return noticeMsg{"there is nothing earlier than this"} }

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

// mend opens the form that strikes or corrects the chosen line, or says why it cannot.
func (p *parameterScreen) mend(correct bool) tea.Cmd {
	line, there := p.lines.chosen()
	reading, is := line.entry.(logbook.Reading)
	switch {
	case p.aside.of != nothing:
		return notice("esc brings the list back; the lines to strike or correct are in it")
	case !there:
		return notice("there is no line here")
	case line.struck:
		return notice("this line is struck already")
	case !correct:
		return open(strikeOf{p.tank, line})
	case !is:
		return notice("only a reading can be corrected; strike this line and enter it anew")
	}
	return open(correctionOf{p.tank, p.line.Parameter, reading})
}

func (p *parameterScreen) other(by int) tea.Cmd {
	n := len(p.others)
	if n == 0 {
		return nil
	}
	at := slices.Index(p.others, p.name)
	p.name = p.others[(at+by+n)%n]
	p.lines.list, p.warned, p.over.name, p.over.tank = list{}, nil, "", ""
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
	p.cursor = max(0, c.Column(p.now(), c.Columns(p.w, p.chartHeight()))-1)
}

func (p *parameterScreen) about() about {
	from, _ := p.span.ends(p.now())
	return about{
		title: clean(p.tank.Name) + " · " + clean(p.name),
		zone:  p.tank.Zone(),
		place: place{Screen: onChart, Tank: p.tank.Name, Parameter: p.name, Days: zooms()[p.span.zoom], Log: p.log, Over: p.over.name, OverTank: p.over.tank},
		shows: Exported{Tank: p.tank, Parameter: p.name, From: from, AsOf: p.now()},
	}
}

func (p *parameterScreen) click(row, _ int) {
	if p.aside.of == nothing {
		p.lines.hit(row, len(p.lines.rows))
	}
}

// wheel over the chart moves through time, the way the list below goes: downwards is earlier.
func (p *parameterScreen) wheel(row, by int) (tea.Cmd, bool) {
	switch {
	case !p.loaded || row >= p.lines.row:
		return nil, false
	case by < 0:
		return p.later(), true
	default:
		return p.earlier(), true
	}
}
