package tui

import (
	"strings"
	"testing"
)

// Another tank is laid over; both series are named, and the cursor reads both.
func TestTankLaidOver(t *testing.T) {
	a := newApp(Options{Book: twoTanks(t), Now: clock, NoColor: true})
	resize(a, 100, 30)
	settleAll(a, a.top().Init())
	a.top().(*glance).goTo("forereef", "nitrate")
	do(a, "enter", "O")
	frame := a.View()
	for _, want := range []string{"● nitrate of forereef", "x nitrate of lagoon"} {
		if !strings.Contains(frame, want) || strings.Contains(frame, "own scale") {
			t.Errorf("the chart has another scale, or lacks %q:\n%s", want, frame)
		}
	}
	crosses := strings.Count(frame, "x") // three readings and the legend; the words have none
	do(a, "v", "h", "h", "h", "h")
	if frame := a.View(); !strings.Contains(frame, "x nitrate of lagoon: 2.5 mg/L on 7 Mar 2026") {
		t.Errorf("the cursor does not read what is laid over:\n%s", frame)
	}
	do(a, "v", "O")
	if got := a.View(); strings.Contains(got, "lagoon") || strings.Count(got, "x") >= crosses {
		t.Errorf("the last press does not end it:\n%s", got)
	}
	do(a, "o")
	if frame := a.View(); !strings.Contains(frame, "x alkalinity to its own scale: half way up 8.30 dKH") ||
		!strings.Contains(frame, "● nitrate") {
		t.Errorf("another parameter:\n%s", frame)
	}
	resize(a, 40, 14)
	if frame := a.View(); !strings.Contains(frame, "x alkalinity to its own scale: half way") {
		t.Errorf("on a narrow screen the scale is lost:\n%s", frame)
	}
	do(a, "tab")
	if p := a.top().(*parameterScreen); p.over.name != "" {
		t.Error("the next parameter still has something laid over")
	}
}

// With nothing to lay over, the keys say so.
func TestNothingToLayOver(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true})
	resize(a, 80, 24)
	settleAll(a, a.top().Init())
	do(a, "g", "enter", "O")
	if !strings.Contains(a.View(), "no other tank has readings of alkalinity") {
		t.Errorf("nothing is said:\n%s", a.View())
	}
}
