package tui

import (
	"strings"
	"testing"
)

// The band form says which interval is in force where none is set: here the usual one learned from weekly tests.
func TestBandFormSaysTheIntervalInForce(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true})
	resize(a, 80, 24)
	settleAll(a, a.top().Init())
	do(a, "g", "b")
	if view := a.View(); !strings.Contains(view, "empty: as now, alkalinity every 7 days") {
		t.Errorf("no interval:\n%s", view)
	}
}
