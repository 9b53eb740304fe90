package tui

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

// A screen whose question to the book failed says why for as long as it has nothing else to show, and asks again by
// itself where the book was only busy.
func TestBusyBookIsAskedAgain(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true})
	resize(a, 80, 24)
	settleAll(a, a.top().Init())
	j := newJournal(a.env, a.stack[0].(*glance).reports[0].Tank)
	a.push(j)
	busy := fmt.Errorf("reef.book: %w", logbook.ErrBusy)
	a.Update(part.FailedMsg{Err: busy})
	keysOf(a, "f") // takes the failure off the last row
	a.Update(part.FailedMsg{Err: busy})
	if frame := a.View(); !strings.Contains(frame, "reef.book") || strings.Contains(frame, "reading the book") {
		t.Errorf("the screen does not say why it is empty:\n%s", frame)
	}
	_, next := a.Update(part.TickMsg{At: noon})
	for _, c := range commands(next)[2:] { // without the clock and the look at the file
		settleAll(a, c)
	}
	if !j.Loaded || a.again || a.failure != "" {
		t.Errorf("the journal was not asked for again:\n%s", a.View())
	}
}

// What is done is left by the screen that did it, though help was called over it or it is left twice.
func TestOnlyTheScreenThatIsDoneIsLeft(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	f := form.NewEvent(a.env, example(t)[0].Tank, "")
	a.push(newJournal(a.env, example(t)[0].Tank))
	a.push(f)
	a.help()
	a.Update(part.DoneMsg{S: f, Notice: "event in the book", Changed: true})
	if _, is := a.top().(*helpScreen); !is || len(a.stack) != 3 {
		t.Errorf("not the form was left: %d screens, %s on top", len(a.stack), a.top().About().Title)
	}
	a.back()
	a.Update(part.DoneMsg{S: f, Notice: "event in the book", Changed: true})
	if _, is := a.top().(*journal); !is {
		t.Errorf("the journal was left with the form")
	}
}

// The alerts are there as far as they are known, and come in with the glance's examinations.
func TestAlertsComeInWithTheGlance(t *testing.T) {
	b := tankBook(t)
	a, next := lookedAt(t, b)
	g := a.top().(*glance)
	_, open := a.Update(keyNamed("a"))
	a.Update(open())
	if _, is := a.top().(*alertList); !is {
		t.Fatal("a does not open the alerts")
	}
	if frame := a.View(); !strings.Contains(frame, "looking … 0 of 8") || strings.Contains(frame, "No alerts") {
		t.Errorf("nothing is known yet:\n%s", frame)
	}
	for _, c := range next {
		settleAll(a, c)
	}
	want := 0
	for _, r := range g.reports {
		want += len(r.Alerts)
	}
	if got := len(a.top().(*alertList).alerts); got != want || strings.Contains(a.View(), "looking") {
		t.Errorf("%d of %d alerts:\n%s", got, want, a.View())
	}
}

// Keys typed before the fields of a test day are there are not lost.
func TestEarlyKeysOfATestDay(t *testing.T) {
	a, _ := lookedAt(t, tankBook(t))
	_, open := a.Update(keyNamed("t"))
	_, load := a.Update(open())
	d := a.top().(*testDay)
	keysOf(a, "8", ".", "4")
	if d.Loaded {
		t.Fatal("the fields are there already")
	}
	settleAll(a, load)
	if got := d.fields[0].text(); got != "8.4" {
		t.Errorf("%q stands in the first field", got)
	}
}

// A test day takes from the glance what is examined there: nothing is examined twice.
func TestTestDayTakesWhatTheGlanceKnows(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true})
	resize(a, 80, 24)
	settleAll(a, a.top().Init())
	g := a.top().(*glance)
	_, open := a.Update(keyNamed("t"))
	if d := open().(part.OpenMsg).Want(a.env).(*testDay); d.known == nil || d.known.Tank.Name != g.reports[0].Tank.Name {
		t.Errorf("it asks again for what is known")
	}
	g.Init()
	_, open = a.Update(keyNamed("t"))
	if d := open().(part.OpenMsg).Want(a.env).(*testDay); d.known != nil {
		t.Errorf("it takes for known what is being examined anew")
	}
}

// Keys typed before the first screen is there are not lost, and go where the keeper was; where the book cannot be read,
// they do not wait for ever.
func TestKeysTypedAtTheStart(t *testing.T) {
	b := tankBook(t)
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	keysOf(a, "G", "enter")
	settleAll(a, a.top().Init())
	if p, is := a.top().(*parameterScreen); !is || p.name != a.stack[0].(*glance).reports[0].Findings[7].Parameter.Name {
		t.Errorf("the keys led to %s", a.top().About().Title)
	}

	a = newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	a.resume(part.Place{Tank: "forereef", Screen: part.OnJournal})
	keysOf(a, "/", "x")
	settleAll(a, a.top().Init())
	if j, is := a.top().(*journal); !is || j.find.Value() != "x" {
		t.Errorf("the keys led to %s", a.top().About().Title)
	}

	a = newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	keysOf(a, "?")
	_, next := a.Update(part.FailedMsg{Err: errors.New("the disk is gone")})
	settleAll(a, next)
	if _, is := a.top().(*helpScreen); !is {
		t.Error("help waits for a book that cannot be read")
	}
}
