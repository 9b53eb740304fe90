package tui

import (
	"cmp"
	"encoding/json"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/logbook"
)

// place is where the keeper was when the interface was left: what to open again. Forms and test days are not among it;
// what is half typed has its draft.
type place struct {
	Tank      string    `json:"tank"`
	Parameter string    `json:"parameter,omitempty"`
	Screen    string    `json:"screen,omitempty"` // "" is the glance
	Days      float64   `json:"days,omitempty"`   // of past on the chart
	Log       bool      `json:"log,omitempty"`
	Over      string    `json:"over,omitempty"`      // the parameter laid over
	OverTank  string    `json:"over_tank,omitempty"` // of another tank
	Left      time.Time `json:"left"`
}

// The names of screens in a place.
const (
	onChart   = "chart"
	onAlerts  = "alerts"
	onJournal = "journal"
	onUpkeep  = "upkeep"
	onChanges = "changes"
)

// placed is a screen that can say where it is.
type placed interface{ placeOf() place }

// mostPlaces is how many books' places are kept; mostPlaceBytes is more than they can need.
const (
	mostPlaces     = 50
	mostPlaceBytes = 1 << 20
)

// places is the file: by the absolute path of the book.
type places struct {
	Places map[string]place `json:"places"`
}

// readPlaces reads the file. Whatever is wrong with it, there is no place then: nothing hangs on it.
func readPlaces(file string) places {
	none := places{map[string]place{}}
	info, err := os.Stat(file)
	if err != nil || !info.Mode().IsRegular() {
		return none
	}
	f, err := os.Open(file)
	if err != nil {
		return none
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, mostPlaceBytes))
	var ps places
	if err != nil || json.Unmarshal(text, &ps) != nil || ps.Places == nil {
		return none
	}
	return ps
}

// keep writes the file anew with one place more, and without the oldest where there are too many.
func (ps places) keep(file, book string, p place) error {
	ps.Places[book] = p
	oldest := slices.SortedFunc(maps.Keys(ps.Places), func(a, b string) int {
		return cmp.Or(ps.Places[a].Left.Compare(ps.Places[b].Left), cmp.Compare(a, b))
	})
	for _, old := range oldest[:max(0, len(oldest)-mostPlaces)] {
		delete(ps.Places, old)
	}
	text, err := json.MarshalIndent(ps, "", "  ")
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return err
	}
	part, err := logbook.NewPart(file)
	if err != nil {
		return err
	}
	defer part.Drop()
	if _, err := part.Write(append(text, '\n')); err != nil {
		return err
	}
	return part.Place(true)
}

// placeMsg says where the keeper was.
type placeMsg struct{ place }

// findPlace looks up where the keeper was in this book, unless another tank is asked for.
func (a *app) findPlace() tea.Cmd {
	file, book, asked, usual := a.placeFile, a.bookKey(), a.tank, a.usualTank
	if file == "" && asked == "" && usual == "" {
		return nil
	}
	return func() tea.Msg {
		p, ok := place{}, false
		if file != "" {
			p, ok = readPlaces(file).Places[book]
		}
		switch {
		case asked != "" && p.Tank != asked:
			return placeMsg{place{Tank: asked}}
		case ok:
			return placeMsg{p}
		case usual != "":
			return placeMsg{place{Tank: usual}}
		}
		return nil
	}
}

func (a *app) bookKey() string {
	path := a.env.book.Path()
	if whole, err := filepath.Abs(path); err == nil {
		return whole
	}
	return path
}

// slowest is how long leaving waits for the place to be written; a folder on a network that is gone must not hold it
// up.
const slowest = time.Second

// keepPlace writes down where the keeper is, on leaving. That it cannot be is no reason to trouble anybody.
func (a *app) keepPlace() {
	p, ok := a.place()
	if a.placeFile == "" || !ok {
		return
	}
	file, book := a.placeFile, a.bookKey()
	p.Left = a.env.now()
	done := make(chan struct{})
	go func() {
		defer close(done)
		_ = readPlaces(file).keep(file, book, p)
	}()
	select {
	case <-done:
	case <-time.After(slowest):
	}
}

// place is that of the uppermost screen that has one, with the tank of those below where it names none; false where
// there is no tank yet.
func (a *app) place() (place, bool) {
	var found place
	for _, s := range a.stack {
		if s, ok := s.(placed); ok {
			p := s.placeOf()
			p.Tank = cmp.Or(p.Tank, found.Tank)
			found = p
		}
	}
	return found, found.Tank != ""
}

// screen is what to open on top of the glance; nil for the glance itself, and where the book has no such thing any
// more.
func (p place) screen(g *glance) screen {
	e, reports := g.env, g.reports
	tank, ok := tankOf(reports, p.Tank)
	if !ok {
		return nil
	}
	switch p.Screen {
	case onChart:
		if !hasLine(reports, p.Tank, p.Parameter) {
			return nil
		}
		s := newParameterScreen(e, tank, p.Parameter)
		if i := slices.Index(zooms(), p.Days); i >= 0 {
			s.zoom = i
		}
		s.log = p.Log
		if over := cmp.Or(p.OverTank, p.Tank); p.Over != "" && hasLine(reports, over, p.Over) {
			s.over, s.overTank = p.Over, p.OverTank
		}
		return s
	case onAlerts:
		return newAlertList(e, g)
	case onJournal:
		return newJournal(e, tank)
	case onUpkeep:
		return newUpkeep(e, tank, "")
	case onChanges:
		return newChanges(e, tank, e.moment().AddDate(0, 0, -28))
	default:
		return nil
	}
}

func tankOf(reports []alerts.Report, name string) (logbook.Tank, bool) {
	for _, r := range reports {
		if r.Tank.Name == name {
			return r.Tank, true
		}
	}
	return logbook.Tank{}, false
}

func hasLine(reports []alerts.Report, tank, parameter string) bool {
	return slices.ContainsFunc(reports, func(r alerts.Report) bool {
		return r.Tank.Name == tank && slices.ContainsFunc(r.Findings, func(l alerts.Finding) bool { return l.Parameter.Name == parameter })
	})
}

// resume goes back to where the keeper was, unless they have gone somewhere since.
func (g *glance) resume(p place) tea.Cmd {
	if !g.loaded {
		g.was = &p
		return nil
	}
	g.was = nil
	if _, there := tankOf(g.reports, p.Tank); !there || g.touched {
		return nil
	}
	g.goTo(p.Tank, p.Parameter)
	g.settled = true
	if s := p.screen(g); s != nil {
		return open(s)
	}
	return nil
}

func (g *glance) placeOf() place {
	tank, parameter := g.place()
	return place{Tank: tank, Parameter: parameter}
}

func (p *parameterScreen) placeOf() place {
	return place{Screen: onChart, Tank: p.tank.Name, Parameter: p.name, Days: zooms()[p.zoom], Log: p.log, Over: p.over, OverTank: p.overTank}
}

func (*alertList) placeOf() place { return place{Screen: onAlerts} }

func (j *journal) placeOf() place { return place{Screen: onJournal, Tank: j.tank.Name} }
func (u *upkeep) placeOf() place  { return place{Screen: onUpkeep, Tank: u.tank.Name} }
func (c *changes) placeOf() place { return place{Screen: onChanges, Tank: c.tank.Name} }
