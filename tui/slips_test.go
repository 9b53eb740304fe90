package tui

import (
	"strings"
	"testing"
	"time"

	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

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
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	settleAll(a, a.top().Init())
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
