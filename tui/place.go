package tui

import (
	"cmp"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// mostPlaces is how many books' places are kept; mostPlaceBytes is more than they can need.
const (
	mostPlaces     = 50
	mostPlaceBytes = 1 << 20
)

// places is the file: by the absolute path of the book.
type places struct {
	Places map[string]part.Place `json:"places"`
}

// readPlaces reads the file. Whatever is wrong with it, there is no place then: nothing hangs on it.
func readPlaces(file string) places {
	none := places{map[string]part.Place{}}
	info, err := os.Stat(file)
	if err != nil || !info.Mode().IsRegular() || info.Size() > mostPlaceBytes {
		return none
	}
	text, err := os.ReadFile(file)
	var ps places
	if err != nil || json.Unmarshal(text, &ps) != nil || ps.Places == nil {
		return none
	}
	return ps
}

// keep writes the file anew with one place more, and without the oldest where there are too many.
func (ps places) keep(file, book string, p part.Place) error {
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
	draft, err := logbook.NewPart(file)
	if err != nil {
		return err
	}
	defer draft.Drop()
	if _, err := draft.Write(append(text, '\n')); err != nil {
		return err
	}
	return draft.Finish(true)
}

// findPlace looks up where the keeper was in this book, unless another tank is asked for.
func (a *app) findPlace() tea.Cmd {
	file, book, asked, usual := a.env.PlaceFile, a.bookKey(), a.env.Tank, a.env.UsualTank
	if file == "" && asked == "" && usual == "" {
		return nil
	}
	return func() tea.Msg {
		p := part.Place{Tank: usual}
		if was, ok := readPlaces(file).Places[book]; ok {
			p = was
		}
		if asked != "" && p.Tank != asked {
			p = part.Place{Tank: asked}
		}
		return doMsg(func() tea.Cmd { return a.resume(p) })
	}
}

// resume goes back to a place, unless the keeper was quicker.
func (a *app) resume(p part.Place) tea.Cmd {
	if len(a.stack) > 1 || p.Tank == "" {
		return nil
	}
	return a.home.resume(p)
}

func (a *app) bookKey() string {
	path := a.env.Book.Path()
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
	if a.env.PlaceFile == "" || !ok {
		return
	}
	file, book := a.env.PlaceFile, a.bookKey()
	p.Left = a.env.Now()
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
func (a *app) place() (part.Place, bool) {
	var found part.Place
	for _, s := range a.stack {
		if p := s.About().Place; p != (part.Place{}) {
			p.Tank = cmp.Or(p.Tank, found.Tank)
			found = p
		}
	}
	return found, found.Tank != ""
}

// reopen opens on top of the glance what the keeper had there, where the book has such a thing still.
func (g *glance) reopen(p part.Place) tea.Cmd {
	r, _ := reportOf(g.reports, p.Tank)
	tank := r.Tank
	chart := p.Screen == part.OnChart
	if chart && !g.hasLine(cmp.Or(p.OverTank, p.Tank), p.Over) {
		p.Over, p.OverTank = "", ""
	}
	w, there := map[string]part.Want{
		part.OnChart: part.OfTank(newParameterScreen, tank, p), part.OnAlerts: part.Of(newAlertList, g),
		part.OnJournal: part.Of(newJournal, tank), part.OnTable: part.Of(newTable, tank),
		part.OnUpkeep: part.OfTank(newUpkeep, tank, ""), part.OnChanges: whatChanged(tank),
		part.OnYear: part.OfTank(newYear, tank, p),
	}[p.Screen]
	if !there || chart && !g.hasLine(p.Tank, p.Parameter) {
		return nil
	}
	return part.Open(w)
}

func reportOf(reports []alerts.Report, tank string) (alerts.Report, bool) {
	return words.First(reports, func(r alerts.Report) bool { return r.Tank.Name == tank })
}

func (g *glance) hasLine(tank, parameter string) bool {
	r, _ := reportOf(g.reports, tank)
	_, there := r.Finding(parameter)
	return there
}

// ofTank is what every screen of one tank has.
type ofTank struct {
	part.Page
	tank logbook.Tank
}

func newOfTank(e *part.Env, t logbook.Tank) ofTank {
	return ofTank{part.Page{Env: e, Awaits: true}, t}
}

func (s *ofTank) now() time.Time { return s.Moment().In(s.tank.Zone()) }
