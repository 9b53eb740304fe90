package tui

import (
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/logbook"
)

// parameterScreen is one parameter of a tank: its chart, what was measured and done, and the reasons.
type parameterScreen struct {
	reader
	size
	loading
	env      *env
	tank     logbook.Tank
	name     string
	asked    int
	line     alerts.Finding
	others   []string // the tank's parameters, for next and previous
	shown    []logbook.Reading
	rows     []record
	earlier  bool // there is more before the window
	unlisted bool // older readings of the window are not in rows
	at       int
	top      int
	listRow  int     // the row the list begins in
	zoom     int     // index into zooms
	back     float64 // days the window is moved back from now
	log      bool
	why      bool
	demand   bool     // the demand stands in place of the list
	saidTop  int      // the first row shown of the reasons or the demand
	takes    []string // what there is to say of it; nil: not asked yet
	cursor   int      // column of the cursor; -1: none
	over     string   // the parameter laid over; "": none
	overTank string   // of this tank; "": of the same
	laid     *picture.Over
	tanks    []string    // the other tanks that measure this parameter
	warned   []time.Time // when the hindcast would have begun to warn
	hind     bool
	then     tea.KeyMsg // pressed once the parameter is there
}

// zooms are the stretches of past that can be shown, in days.
func zooms() []float64 { return []float64{28, 84, 182, 365, 730, 1825, 3650, 7300} }

// mostListed is how many readings the list beneath the chart holds; a window can have a million.
const mostListed = 2000

func newParameterScreen(e *env, t logbook.Tank, name string) *parameterScreen {
	return &parameterScreen{env: e, tank: t, name: name, zoom: 1, cursor: -1}
}

func (p *parameterScreen) Init() tea.Cmd { return p.load() }

func (p *parameterScreen) now() time.Time { return p.env.moment().In(p.tank.Zone()) }

// from and to are the ends of the chart: the past that is shown, and a third as much ahead of now, at most four weeks.
func (p *parameterScreen) from() time.Time {
	return p.now().Add(-hours((p.back + zooms()[p.zoom]) * 24))
}

func (p *parameterScreen) to() time.Time {
	return p.now().Add(hours((math.Min(28, zooms()[p.zoom]/3) - p.back) * 24))
}

func hours(h float64) time.Duration { return time.Duration(h * float64(time.Hour)) }

func (p *parameterScreen) Update(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case changedMsg:
		return tea.Batch(p.load(), p.askDemand())
	case parameterMsg:
		if msg.asked == p.asked {
			p.loaded, p.line, p.others, p.shown, p.rows, p.unlisted = true, msg.line, msg.others, msg.shown, msg.rows, msg.unlisted
			p.tanks, p.laid = msg.tanks, msg.laid
			p.earlier = msg.earlier
			p.tank = msg.line.Tank
			p.at = max(0, min(p.at, len(p.rows)-1))
			if then := p.then; len(then.Runes) > 0 {
				p.then = tea.KeyMsg{}
				return p.press(then)
			}
		}
	case demandMsg:
		if msg.screen == p && msg.name == p.name {
			p.takes = msg.says
		}
	case hindcastMsg:
		if msg.screen == p && msg.name == p.name {
			p.warned = msg.warned
			if len(msg.warned) == 0 {
				return notice("the hindcast finds no moment at which it would have warned of the floor")
			}
			return notice(fmt.Sprintf("! marks where it would have warned: %s", plural(len(msg.warned), "time", "times")))
		}
	case tea.KeyMsg:
		return p.press(msg)
	}
	return nil
}

func (p *parameterScreen) press(msg tea.KeyMsg) tea.Cmd {
	k, all := p.env.keys.Parameter, p.env.keys.All
	step := zooms()[p.zoom] / 4
	if by, ok := rowsBy(msg, all); ok && (p.why || p.demand) {
		p.saidTop = max(0, p.saidTop+by) // and at most to the end, when it is drawn
		return nil
	}
	switch {
	case key.Matches(msg, all.Down):
		p.at++
	case key.Matches(msg, all.Up):
		p.at--
	case key.Matches(msg, all.PageDown):
		p.at += 10
	case key.Matches(msg, all.PageUp):
		p.at -= 10
	case key.Matches(msg, all.First):
		p.at = 0
	case key.Matches(msg, all.Last):
		p.at = len(p.rows) - 1
	case key.Matches(msg, k.Closer):
		p.zoom = max(0, p.zoom-1)
		return p.load()
	case key.Matches(msg, k.Wider, k.Earlier) && p.loaded && !p.earlier && (p.cursor < 0 || key.Matches(msg, k.Wider)):
		return notice("there is nothing earlier than this")
	case key.Matches(msg, k.Wider):
		p.zoom = min(len(zooms())-1, p.zoom+1)
		return p.load()
	case key.Matches(msg, k.Earlier) && p.cursor >= 0:
		p.cursor = max(0, p.cursor-1)
	case key.Matches(msg, k.Later) && p.cursor >= 0:
		p.cursor++
	case key.Matches(msg, k.Earlier):
		p.back = math.Min(p.back+step, 60*365)
		return p.load()
	case key.Matches(msg, k.Later):
		p.back = math.Max(0, p.back-step)
		return p.load()
	case key.Matches(msg, k.Now):
		p.back, p.zoom, p.cursor = 0, 1, -1
		return p.load()
	case key.Matches(msg, k.Log):
		p.log = !p.log
	case key.Matches(msg, k.Why):
		p.why, p.demand, p.saidTop = !p.why, false, 0
	case key.Matches(msg, k.Demand) && p.loaded:
		p.demand, p.why, p.saidTop = !p.demand, false, 0
		return p.askDemand()
	case key.Matches(msg, k.Cursor):
		p.toggleCursor()
	case key.Matches(msg, k.NextOne):
		return p.other(1)
	case key.Matches(msg, k.PrevOne):
		return p.other(-1)
	case key.Matches(msg, k.Over):
		return p.layOver()
	case key.Matches(msg, k.Export):
		return askExport
	case key.Matches(msg, k.OverTank):
		return p.layTankOver()
	case key.Matches(msg, k.Hindcast):
		return p.hindcast()
	case key.Matches(msg, k.Band):
		return open(newBandForm(p.env, p.tank, p.name, p.line.EveryDays))
	case key.Matches(msg, k.Dose):
		return open(newDoseForm(p.env, p.tank, p.name))
	case key.Matches(msg, k.Dosing):
		return open(newDosingForm(p.env, p.tank, p.name))
	case key.Matches(msg, k.Test):
		return open(newTestDay(p.env, p.tank, nil))
	case key.Matches(msg, k.WhatIf) && p.loaded:
		return open(newWhatIf(p.env, p.line))
	case key.Matches(msg, k.Strike), key.Matches(msg, k.Correct):
		return p.mend(key.Matches(msg, k.Correct))
	}
	p.at = max(0, min(p.at, len(p.rows)-1))
	return nil
}

// rowsBy is how many rows a key moves by.
func rowsBy(msg tea.KeyMsg, k allKeys) (int, bool) {
	switch {
	case key.Matches(msg, k.Down):
		return 1, true
	case key.Matches(msg, k.Up):
		return -1, true
	case key.Matches(msg, k.PageDown):
		return 5, true
	case key.Matches(msg, k.PageUp):
		return -5, true
	default:
		return 0, false
	}
}

// mend opens the form that strikes or corrects the chosen line, or says why it cannot.
func (p *parameterScreen) mend(correct bool) tea.Cmd {
	switch {
	case p.why || p.demand:
		return notice("esc brings the list back; the lines to strike or correct are in it")
	case p.at < 0 || p.at >= len(p.rows):
		return notice("there is no line here")
	case p.rows[p.at].struck:
		return notice("this line is struck already")
	case !correct:
		return open(newStrikeForm(p.env, p.tank, p.rows[p.at]))
	}
	reading, is := p.rows[p.at].entry.(logbook.Reading)
	if !is {
		return notice("only a reading can be corrected; strike this line and enter it anew")
	}
	return open(newCorrectForm(p.env, p.tank, p.line.Parameter, reading))
}

// Close closes the reasons or the demand, which stand in place of the list.
func (p *parameterScreen) Close() bool {
	was := p.why || p.demand
	p.why, p.demand = false, false
	return was
}

func (p *parameterScreen) other(by int) tea.Cmd {
	n := len(p.others)
	if n == 0 {
		return nil
	}
	at := slices.Index(p.others, p.name)
	p.name = p.others[(at+by+n)%n]
	p.at, p.top, p.warned, p.hind, p.demand = 0, 0, nil, false, false
	p.over, p.overTank = "", ""
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

func (p *parameterScreen) Title() string {
	return clean(p.tank.Name) + " · " + clean(p.name)
}

func (p *parameterScreen) zone() *time.Location { return p.tank.Zone() }

func (p *parameterScreen) Keys() []key.Binding {
	k := p.env.keys.Parameter
	return []key.Binding{k.Why, k.Demand, k.Earlier, k.Later, k.Closer, k.Wider, k.NextOne, k.Strike, k.Correct, k.WhatIf, k.Cursor, k.Over, k.Log, k.Now}
}

func (p *parameterScreen) Groups() []group {
	k, all := p.env.keys.Parameter, p.env.keys.All
	return []group{
		{"chart", []key.Binding{k.Earlier, k.Later, k.Closer, k.Wider, k.Now, k.Cursor, k.Over, k.OverTank, k.Log, k.Hindcast}},
		{"lines", []key.Binding{all.Down, all.Up, k.Strike, k.Correct}},
		{"go on", []key.Binding{k.Why, k.Demand, k.WhatIf, k.Export, k.NextOne, k.PrevOne}},
		{"enter", []key.Binding{k.Dose, k.Dosing, k.Test, k.Band}},
	}
}
