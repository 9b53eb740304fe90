package tui

import (
	"strings"
	"testing"
	"time"

	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

// A wrong year of a test day is asked about once, and what is saved for another day than today says which.
func TestWrongYearIsAskedAbout(t *testing.T) {
	b := tankBook(t)
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	settle(a, a.top().Init())
	noted := func() int {
		counts, err := logbook.Seen(b, (*logbook.View).Count)
		if err != nil {
			t.Fatal(err)
		}
		return counts.Readings
	}
	before := noted()
	do(a, "t", "8", ".", "2", "ctrl+t")
	doText(a, "13 mar 2025")
	do(a, "ctrl+s")
	if noted() != before || !strings.Contains(a.View(), "13 Mar 2025 is 359 days before the last reading: right year?") {
		t.Fatalf("not asked:\n%s", a.View())
	}
	do(a, "ctrl+s")
	if noted() != before+1 || !strings.Contains(a.View(), "1 reading of forereef in the book, of 13 Mar 2025") {
		t.Errorf("%d more readings:\n%s", noted()-before, a.View())
	}
}

// A test day that was left half typed is of the moment at which its first value was typed.
func TestHalfTypedDayKeepsItsMoment(t *testing.T) {
	b := tankBook(t)
	now := noon
	a := newApp(Options{Book: b, Now: func() time.Time { return now }, NoColor: true})
	resize(a, 80, 24)
	settle(a, a.top().Init())
	do(a, "t")
	now = noon.Add(4 * time.Minute)
	do(a, "8", ".", "2", "esc")
	now = noon.Add(20 * time.Hour)
	do(a, "t")
	if view := a.View(); !strings.Contains(view, "2026-03-14 12:04") {
		t.Errorf("the moment is not offered:\n%s", view)
	}
	do(a, "ctrl+s")
	if view := a.View(); !strings.Contains(view, "1 reading of forereef in the book, of 14 Mar") {
		t.Errorf("not of its day:\n%s", view)
	}
}

// A time of test that cannot be read holds enter back, as a value does.
func TestWrongTimeOfTestIsNotLeftByEnter(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true})
	resize(a, 80, 24)
	settle(a, a.top().Init())
	do(a, "t", "ctrl+t")
	doText(a, "yesterdya")
	do(a, "enter")
	d := a.top().(*testDay)
	if d.at != len(d.fields) || !strings.Contains(d.Message, "time of test: ") {
		t.Errorf("at %d of %d, %q", d.at, len(d.fields), d.Message)
	}
	if do(a, "down"); d.at != 0 {
		t.Error("the arrow does not go on")
	}
}

// Results of two tests in each other's place are asked about as such.
func TestSwappedResultsAreAskedAbout(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true})
	resize(a, 80, 24)
	settle(a, a.top().Init())
	do(a, "t")
	d := a.top().(*testDay)
	for i, f := range d.fields {
		text := map[string]string{"calcium": "1340", "magnesium": "425"}[f.Parameter.Name]
		if text == "" {
			continue
		}
		d.focus(i)
		doText(a, text)
	}
	for _, f := range d.fields {
		if f.Parameter.Name == "magnesium" {
			if why, _ := f.question(); !strings.Contains(why, "were magnesium and calcium typed in each other's place?") {
				t.Errorf("asked: %q", why)
			}
		}
	}
}

// An alert that is seen moves behind the others, and the cursor with it: the key pressed next means the same alert.
func TestTheCursorStaysWithItsAlert(t *testing.T) {
	b := tankBook(t)
	r, err := logbook.ParseReading(parameter(t, "alkalinity"), "6.0", "dKH")
	if err != nil {
		t.Fatal(err)
	}
	r.Time, r.Tank = noon.Add(-time.Hour), "forereef"
	low := 7.0
	if _, err := b.Append(logbook.Chore{Tank: "forereef", Name: "media", EveryDays: 7},
		logbook.ChoreDone{Time: noon.AddDate(0, 0, -30), Tank: "forereef", Chore: "media"},
		logbook.Chore{Tank: "forereef", Name: "pump", EveryDays: 7},
		logbook.ChoreDone{Time: noon.AddDate(0, 0, -30), Tank: "forereef", Chore: "pump"}, r,
		logbook.Tank{Name: "forereef", VolumeL: 450, Bands: map[string]logbook.Band{"alkalinity": {Low: &low}}}); err != nil {
		t.Fatal(err)
	}
	a := openApp(b)
	do(a, "a")
	list := a.top().(*alertList)
	if len(list.alerts) < 2 {
		t.Fatalf("%d alerts", len(list.alerts))
	}
	chosen := list.alerts[0]
	do(a, "m")
	at := list.alerts[list.At]
	if list.At == 0 || at.Rule != chosen.Rule || at.Subject != chosen.Subject || at.Parameter != chosen.Parameter {
		t.Errorf("the cursor stands on %d, %s %s%s, and stood on %s %s%s", list.At, at.Rule, at.Parameter, at.Subject,
			chosen.Rule, chosen.Parameter, chosen.Subject)
	}
}

// The key that takes back is not named where it would be typed into a field.
func TestUndoIsNotNamedWhereLettersAreTyped(t *testing.T) {
	_, a, tank := formBook(t)
	for _, s := range []part.Screen{newTestDay(a.env, tank, nil), form.NewEvent(a.env, tank, "")} {
		a.push(s)
		settleAll(a, s.Init())
	}
	doText(a, "fed twice")
	do(a, "ctrl+s")
	if view := a.View(); !strings.Contains(view, "event in the book") || strings.Contains(view, "u takes it back") {
		t.Errorf("a key is named that types a letter:\n%s", view)
	}
}

// A number typed behind a question is another one: it is not glued to the one that was asked about.
func TestNextNumberIsNotGluedOn(t *testing.T) {
	_, a := wrongTank(t)
	do(a, "t")
	d := a.top().(*testDay)
	for d.fields[d.at].Parameter.Name != "calcium" {
		do(a, "down")
	}
	doText(a, "41")
	do(a, "enter")
	f := d.fields[d.at]
	if f.Parameter.Name != "calcium" || f.asked != "41" {
		t.Fatalf("41 is not asked about\n%s", a.View())
	}
	doText(a, "8.1")
	if got := f.text(); got != "8.1" {
		t.Errorf("%q stands in the field", got)
	}
}
