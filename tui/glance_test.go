package tui

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/tui/part"
)

// commands takes apart what a screen asks for, without running it.
func commands(cmd tea.Cmd) []tea.Cmd {
	if cmd == nil {
		return nil
	}
	if batch, is := cmd().(tea.BatchMsg); is {
		return batch
	}
	return nil
}

// lookedAt is an app on a book whose quick look is in, and the examinations that come next.
func lookedAt(t *testing.T, b *logbook.Book) (*app, []tea.Cmd) {
	t.Helper()
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 120, 40)
	_, next := a.Update(a.top().Init()())
	look := commands(next)
	if len(look) == 0 || look[0] == nil {
		t.Fatal("nothing is examined after the look")
	}
	return a, append(commands(look[0]), look[1:]...)
}

// The latest readings are on the screen before anything is examined; what is not known yet is not said, and no line is
// chosen until the keeper chooses one or all is known.
func TestGlanceShowsReadingsFirst(t *testing.T) {
	a, next := lookedAt(t, tankBook(t))
	frame := a.View()
	for _, want := range []string{"8.3", "1350", "mg/L", "7 d", "looking … 0 of 8 lines examined"} {
		if !strings.Contains(frame, want) {
			t.Errorf("the first frame lacks %q:\n%s", want, frame)
		}
	}
	for _, not := range []string{"Nothing asks", "steady", "unknown", "> "} {
		if strings.Contains(frame, not) {
			t.Errorf("the first frame claims %q:\n%s", not, frame)
		}
	}
	for _, c := range next {
		settleAll(a, c)
	}
	frame = a.View()
	if strings.Contains(frame, "looking") || !strings.Contains(frame, "steady") || !strings.Contains(frame, ">") {
		t.Errorf("the examination does not end:\n%s", frame)
	}
}

// A cursor the keeper has moved stays on its parameter while answers come in, and when the book changes.
func TestCursorStaysWhileExamining(t *testing.T) {
	b := tankBook(t)
	a, next := lookedAt(t, b)
	keysOf(a, "j", "j")
	g := a.top().(*glance)
	if _, at := g.place(); at != "magnesium" {
		t.Fatalf("the cursor is on %s", at)
	}
	for _, c := range next {
		settleAll(a, c)
		if _, at := g.place(); at != "magnesium" {
			t.Fatalf("an answer moved the cursor to %s", at)
		}
	}
	p := parameter(t, "calcium")
	if _, err := b.Append(logbook.Tank{Name: "backreef"},
		logbook.Reading{Time: noon, Tank: "backreef", Parameter: p.Name, Text: "420", Unit: p.Unit, Value: 420}); err != nil {
		t.Fatal(err)
	}
	settleAll(a, a.readAnew())
	if tank, at := g.place(); tank != "forereef" || at != "magnesium" || len(g.reports) != 2 {
		t.Errorf("a new tank moved the cursor to %s of %s", at, tank)
	}
}

// While a line is examined anew, what was known of it stays in sight.
func TestReloadKeepsWhatIsKnown(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true})
	resize(a, 120, 40)
	settleAll(a, a.top().Init())
	before := a.View()
	g := a.top().(*glance)
	a.Update(g.Init()())
	if got := a.View(); got != before || g.left == 0 {
		t.Errorf("the levels are gone while they are examined anew:\n%s", got)
	}
}

// What another process changed in the book is on a glance that stands open from its next look on: bands, days between
// tests, methods, and tanks that are renamed or retired.
func TestOpenGlanceTakesUpChanges(t *testing.T) {
	b := tankBook(t)
	other, err := logbook.Open(b.Path())
	if err != nil {
		t.Fatal(err)
	}
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 120, 40)
	settleAll(a, a.Init())
	line := func(name string) alerts.Finding {
		r := a.home.reports[0]
		return r.Findings[slices.IndexFunc(r.Findings, func(l alerts.Finding) bool { return l.Parameter.Name == name })]
	}
	change := func(with func(*logbook.Tank), also ...logbook.Record) {
		t.Helper()
		_, err := other.Update(func(v *logbook.View) ([]logbook.Record, error) {
			tank, err := v.Tank("forereef")
			with(&tank)
			return append(also, tank), err
		})
		if err != nil {
			t.Fatal(err)
		}
		_, next := a.Update(part.TickMsg{})
		settleAll(a, next)
	}
	low, high, every := 1500.0, 1600.0, 2.0
	change(func(tank *logbook.Tank) {
		tank.Bands["magnesium"] = logbook.Band{Low: &low, High: &high, EveryDays: &every}
	})
	frame := ansi.Strip(a.View())
	if l := line("magnesium"); !strings.Contains(frame, "1500–1600") || !strings.Contains(frame, "magnesium 1350") ||
		len(l.Alerts) == 0 || l.EveryDays != every {
		t.Errorf("the band is not taken up, its alerts are %v, the days %v:\n%s", l.Alerts, l.EveryDays, frame)
	}
	before := line("magnesium").Parameter
	changed := before
	changed.Generic.SD = 5 * before.Generic.SD
	change(func(*logbook.Tank) {}, changed)
	if got := line("magnesium").Parameter.Generic.SD; got != changed.Generic.SD {
		t.Errorf("a reading of magnesium spreads by %v, as before its method was changed", got)
	}
	change(func(*logbook.Tank) {}, logbook.Tank{Name: "aquarium"})
	a.home.goTo("forereef", "magnesium")
	if _, err := other.RenameTank("forereef", "abovereef", noon); err != nil {
		t.Fatal(err)
	}
	_, next := a.Update(part.TickMsg{})
	settleAll(a, next)
	if tank, at := a.home.place(); tank != "abovereef" || at != "magnesium" {
		t.Errorf("the tank got another name, and the cursor is on %s of %q", at, tank)
	}
	change(func(tank *logbook.Tank) { tank.SetUse(false, noon) })
	if n := len(a.home.reports); n != 1 || a.home.reports[0].Tank.Name != "aquarium" {
		t.Errorf("%d tanks are shown after one was retired:\n%s", n, a.View())
	}
}

// The number beside a tank's name is that of the alerts that the glance lists of it: tests that are overdue together
// are one.
func TestTankCountsTheAlertsListed(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: func() time.Time { return noon.AddDate(0, 2, 0) }, NoColor: true})
	resize(a, 120, 40)
	settleAll(a, a.top().Init())
	g := a.top().(*glance)
	r := g.reports[0]
	listed := 0
	for _, row := range g.wants(100) {
		if strings.HasPrefix(ansi.Strip(row), "! ") {
			listed++
		}
	}
	title, want := ansi.Strip(g.tankTitle(r, true)), fmt.Sprintf("[forereef] !%d", listed)
	if listed == 0 || listed == len(r.Alerts) || title != want {
		t.Errorf("%q; want %q, of %d alerts", title, want, len(r.Alerts))
	}
}

// A line that cannot be examined says so, holds up no other, and lets nothing pass for well.
func TestOneExaminationFails(t *testing.T) {
	a, next := lookedAt(t, tankBook(t))
	g := a.top().(*glance)
	g.waiting[0].look = func(*logbook.View) (func(*alerts.Report), error) {
		return nil, errors.New("the page cannot be read")
	}
	for _, c := range next {
		settleAll(a, c)
	}
	frame := a.View()
	if g.left != 0 || !strings.Contains(frame, "! 1 of 8 lines could not be examined") ||
		!strings.Contains(frame, "the page cannot be read") {
		t.Errorf("%d are left; the fault is not said:\n%s", g.left, frame)
	}
	said := strings.Count(frame, "→ steady") + strings.Count(frame, "? not clear")
	if strings.Contains(frame, "Nothing asks") || said != 7 {
		t.Errorf("the other lines are not examined, or all passes for well:\n%s", frame)
	}
}

// A clock that stands before the newest entry is said in the title of every screen, at every size.
func TestClockBehindTheBook(t *testing.T) {
	for _, c := range []struct {
		w    int
		says string
	}{{120, "the clock is behind the newest entry · Sat 31 Jan 2026 12:00"}, {80, "the clock is behind the newest entry"},
		{40, "clock behind"}} {
		for behind, now := range map[bool]time.Time{true: noon.AddDate(0, 0, -42), false: noon} {
			a := newApp(Options{Book: tankBook(t), Now: func() time.Time { return now }, NoColor: true})
			resize(a, c.w, 24)
			settleAll(a, a.Init())
			for range 2 {
				if title, _, _ := strings.Cut(ansi.Strip(a.View()), "\n"); strings.Contains(title, c.says) != behind ||
					ansi.StringWidth(title) > c.w {
					t.Errorf("behind: %v, the title is %q", behind, title)
				}
				a.push(newTestDay(a.env, a.stack[0].(*glance).reports[0].Tank, nil))
			}
		}
	}
}

// What a quick reader has to read before the tables is at most forty words at 80 columns, however many alerts there
// are: the grave ones are told, the mild ones counted.
func TestFewWordsBeforeTheTables(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	g := a.stack[0].(*glance)
	g.reports[0].Alerts[0].Headline = "phosphate 0.021, at floor about 20 Mar, maybe by 8 Mar: feed or dose"
	for i := range 6 {
		g.reports[0].Alerts = append(g.reports[0].Alerts,
			alerts.Alert{Tank: "forereef", Parameter: fmt.Sprint(i), Rule: alerts.RuleNearLow, Severity: alerts.Notice,
				Since: noon, Headline: "calcium 402, may fall below 400 within 14 days: retest on 11 Mar"})
	}
	before, _, found := strings.Cut(ansi.Strip(a.View()), "[forereef]")
	view := strings.Split(ansi.Strip(a.View()), "\n")
	said := before + view[len(view)-1] // the title and the keys with it
	if n := len(regexp.MustCompile(`\pL{2,}`).FindAllString(said, -1)); !found || n > 40 ||
		!strings.Contains(said, "5 more: press a") {
		t.Errorf("%d words:\n%s", n, said)
	}
}

// Where the others' server is out of reach the title says so, at every size, and no longer than it is so.
func TestOutOfReachIsSaid(t *testing.T) {
	apart := true
	for _, size := range sizes() {
		a := exampleApp(t, true, size[0], size[1])
		a.env.Apart = func() bool { return apart }
		for _, apart = range []bool{true, false} {
			first, _, _ := strings.Cut(a.View(), "\n")
			if strings.Contains(first, "out of reach") != apart || part.Width(first) > a.w {
				t.Errorf("%v: %q", size, first)
			}
		}
	}
}

// An urgent alert that was seen keeps its name and its advice, on the smallest screen too.
func TestSeenUrgentKeepsItsName(t *testing.T) {
	for _, size := range sizes() {
		a := exampleApp(t, true, size[0], size[1])
		g := a.stack[0].(*glance)
		urgent := &g.reports[0].Alerts[0]
		urgent.Severity, urgent.Acknowledged = alerts.Urgent, true
		view := strings.Join(strings.Fields(ansi.Strip(a.View())), " ")
		const want = "s forereef: phosphate <0.025, at floor about 29 Mar, maybe by 23 Mar: feed or dose (seen)"
		if !strings.Contains(view, want) {
			t.Errorf("at %v:\n%s", size, view)
		}
		second := *urgent
		second.Parameter = "nitrate"
		g.reports[0].Alerts = append(g.reports[0].Alerts, second)
		view = strings.Join(strings.Fields(ansi.Strip(a.View())), " ")
		if !strings.Contains(view, "s 2 urgent alerts seen or snoozed: forereef phosphate, forereef nitrate") {
			t.Errorf("at %v:\n%s", size, view)
		}
	}
}
