package tui

import (
	"cmp"
	"runtime"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

// The glance comes in two steps. A quick look brings the latest readings of all tanks, which are drawn at once; then
// every line is examined by itself, as many at a time as the machine has processors, and takes its place as its
// answer comes.

// glimpse is what a quick look brings: every tank, its lines looked at or examined.
type glimpse struct {
	reports []alerts.Report
	drafts  map[string]logbook.Draft
	newest  time.Time // of the entries after the clock; zero: there are none
}

// examination is that of one line, or of the stocks and chores of a tank; its answer is taken in by the tank's report.
type examination struct {
	tank string
	look func(v *logbook.View) (func(*alerts.Report), error)
}

// examinedMsg tells the other screens that the glance knows more than before.
type examinedMsg struct{}

func examined() tea.Msg { return examinedMsg{} }

func (g *glance) Init() tea.Cmd {
	g.looks++
	g.asking = true
	looks, at, usual, clock, named := g.looks, g.Moment(), g.Order, g.Now(), g.Tank
	return part.Ask(&g.Page, func(v *logbook.View) (found glimpse, err error) {
		tanks, err := v.Tanks()
		if err != nil {
			return found, err
		}
		tanks = logbook.InUse(tanks, func(t logbook.Tank) time.Time {
			if t.Name == named {
				return time.Time{} // as before it was retired: it is asked for by its name
			}
			return at
		})
		found.drafts = map[string]logbook.Draft{}
		for _, t := range tanks {
			r, err1 := alerts.Look(v, t.Name, at.In(t.Zone()))
			d, ok, err2 := v.Draft(t.Name)
			if err := cmp.Or(err1, err2); err != nil {
				return found, err
			}
			r.Arrange(usual)
			found.reports = append(found.reports, r)
			if ok {
				found.drafts[t.Name] = d
			}
		}
		found.newest, err = v.NewestAfter(clock)
		return found, err
	}, func(found glimpse) tea.Cmd {
		if looks != g.looks {
			return nil
		}
		return tea.Batch(g.look(found), examined)
	})
}

// look takes in the quick look. A line that was examined before stays until it is examined anew: it says more.
func (g *glance) look(found glimpse) tea.Cmd {
	tank, parameter := g.place()
	before := g.reports
	g.waiting, g.asking = nil, false
	first := !g.Loaded
	g.Loaded, g.reports, g.drafts = true, found.reports, found.drafts
	g.Behind = g.AsOf == nil && !found.newest.IsZero()
	if first && len(g.reports) == 0 {
		return tea.Sequence(part.Open(part.OfTank(form.NewFirstTank, logbook.Tank{}, "")), part.GoOn)
	}
	for i := range g.reports {
		r := &g.reports[i]
		if !r.Unexamined {
			continue
		}
		of, asOf := r.Tank, r.AsOf
		for _, l := range r.Findings {
			g.examine(of.Name, func(v *logbook.View) (func(*alerts.Report), error) {
				line, err := alerts.ExamineParameter(v, l.Tank, l.Parameter, asOf, 0)
				return func(r *alerts.Report) { r.Put(line) }, err
			})
		}
		g.examine(of.Name, func(v *logbook.View) (func(*alerts.Report), error) {
			u, err := alerts.UpkeepOf(v, of, asOf)
			return func(r *alerts.Report) { r.PutUpkeep(u) }, err
		})
		g.keep(r, before) // last: what is examined anew is the tank and the parameters as they are now
	}
	g.left = len(g.waiting)
	g.goTo(tank, parameter)
	if g.left == 0 {
		g.complete()
	}
	var cmds []tea.Cmd
	for range runtime.GOMAXPROCS(0) {
		cmds = append(cmds, g.next())
	}
	var resumed tea.Cmd
	if g.was != nil {
		resumed = g.resume(*g.was)
	}
	if first { // keys that were typed before are for the place
		resumed = tea.Sequence(resumed, part.GoOn)
	}
	cmds = append(cmds, resumed)
	return tea.Batch(cmds...)
}

// keep puts what was known of a tank before into its new report.
func (g *glance) keep(r *alerts.Report, before []alerts.Report) {
	was, there := reportOf(before, r.Tank.Name)
	for _, l := range was.Findings {
		if !l.Unexamined {
			r.Put(l)
		}
	}
	if there && !was.Unexamined {
		r.PutUpkeep(was.Upkeep())
	}
}

// examine has one examination wait for its turn.
func (g *glance) examine(tank string, look func(v *logbook.View) (func(*alerts.Report), error)) {
	g.waiting = append(g.waiting, examination{tank, look})
}

// next is the examination whose turn it is; nil when none is left. One that fails must not hold up those behind it.
func (g *glance) next() tea.Cmd {
	if len(g.waiting) == 0 {
		return nil
	}
	x, looks := g.waiting[0], g.looks
	g.waiting = g.waiting[1:]
	var in func(*alerts.Report) // nil: it has failed
	read := g.Read(func(v *logbook.View) (_ tea.Msg, err error) {
		in, err = x.look(v)
		return nil, err
	})
	return func() tea.Msg {
		failed := read()
		return part.AnswerMsg{To: &g.Page, Take: func() tea.Cmd {
			return tea.Batch(g.take(looks, x.tank, in), func() tea.Msg { return failed })
		}}
	}
}

func (g *glance) take(looks int, tank string, in func(*alerts.Report)) tea.Cmd {
	if looks != g.looks {
		return nil
	}
	for i := range g.reports {
		if in != nil && g.reports[i].Tank.Name == tank {
			in(&g.reports[i])
		}
	}
	g.left--
	if g.left == 0 {
		g.complete()
	}
	return tea.Batch(g.next(), examined)
}

// complete is called when everything is examined. The cursor is put on the line that most needs the keeper, unless the
// keeper has moved it: until then none is shown.
func (g *glance) complete() {
	if open := g.open(); !g.settled && len(open) > 0 {
		g.goTo(open[0].Tank, open[0].Parameter)
	}
	g.settled = true
}

// pending reports whether there is anything of which nothing is known yet. What is only examined anew is not.
func (g *glance) pending() bool {
	return slices.ContainsFunc(g.reports, func(r alerts.Report) bool {
		return r.Unexamined || slices.ContainsFunc(r.Findings, func(l alerts.Finding) bool { return l.Unexamined })
	})
}

// known is a tank's report where nothing of it is being examined anew; else nil.
func (g *glance) known(r alerts.Report) *alerts.Report {
	if g.asking || g.left > 0 || r.Unexamined {
		return nil
	}
	return &r
}

func (g *glance) examined() (examined, lines int) {
	for _, r := range g.reports {
		for _, l := range r.Findings {
			lines++
			if !l.Unexamined {
				examined++
			}
		}
	}
	return examined, lines
}

// swap lets two lines of a tank change places, and keeps that as the tank's order of parameters.
func (g *glance) swap(r *alerts.Report, i, j int) tea.Cmd {
	r.Findings[i], r.Findings[j] = r.Findings[j], r.Findings[i]
	lines := words.Of(r.Findings, func(l alerts.Finding) string { return l.Parameter.Name })
	order := logbook.Order(words.Once(slices.Concat(lines, r.Tank.Order))) // with what has no line yet
	r.Tank.Order = order
	tank, turn := r.Tank.Name, g.orders.turn()
	write := g.Write(func(b *logbook.Book) (tea.Msg, error) {
		return nil, g.orders.write(turn, func() error {
			_, err := part.ChangeTank(b, tank, func(t *logbook.Tank) { t.Order = order })
			return err
		})
	})
	return tea.Sequence(write, func() tea.Msg { return part.AnswerMsg{To: &g.Page, Take: g.Init} })
}
