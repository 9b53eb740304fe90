package tui

import (
	"strings"
	"testing"

	"leadline/tui/part"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
)

func clickAt(a *app, row, column int) {
	a.Update(tea.MouseMsg{X: column, Y: row, Action: tea.MouseActionPress, Button: tea.MouseButtonLeft})
}

func turn(a *app, row int, button tea.MouseButton) {
	_, cmd := a.Update(tea.MouseMsg{X: 5, Y: row, Action: tea.MouseActionPress, Button: button})
	settleAll(a, cmd)
}

// find is where a text stands in the frame.
func find(t *testing.T, a *app, text string) (row, column int) {
	t.Helper()
	for i, l := range strings.Split(ansi.Strip(a.View()), "\n") {
		if before, _, found := strings.Cut(l, text); found {
			return i, part.Width(before)
		}
	}
	t.Fatalf("%q is not on the screen:\n%s", text, a.View())
	return 0, 0
}

// A click chooses the line it is on, whatever way the tanks are laid out.
func TestClickChoosesALine(t *testing.T) {
	for _, size := range [][2]int{{200, 40}, {80, 40}, {80, 24}, {40, 16}} {
		a := exampleApp(t, true, size[0], size[1])
		g := a.top().(*glance)
		for _, c := range []struct{ text, tank, parameter string }{
			{"alkalinity  ", "forereef", "alkalinity"}, {"phosphate   ", "forereef", "phosphate"},
			{"6.8 mg/L", "lagoon 珊瑚", "nitrate"}} {
			if !strings.Contains(ansi.Strip(a.View()), c.text) {
				continue // of the tank under another tab
			}
			row, column := find(t, a, c.text)
			clickAt(a, row, column)
			if tank, at := g.place(); tank != c.tank || at != c.parameter {
				t.Errorf("%v: a click on %q of %s chooses %s of %s:\n%s", size, c.parameter, c.tank, at, tank, a.View())
			}
		}
		before := g.line
		clickAt(a, 0, 3)
		clickAt(a, size[1]-1, 3)
		if g.line != before {
			t.Errorf("%v: a click beside the lines chooses one", size)
		}
	}
}

// The wheel goes through lists three lines at a turn, and over the chart through time.
func TestWheel(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true})
	resize(a, 80, 30)
	settleAll(a, a.top().Init())
	g := a.top().(*glance)
	do(a, "g")
	turn(a, 8, tea.MouseButtonWheelDown)
	if g.line != 3 {
		t.Errorf("the wheel leads to line %d", g.line)
	}
	do(a, "enter")
	p := a.top().(*parameterScreen)
	row, _ := find(t, a, "21 Feb 2026")
	clickAt(a, row, 8)
	if p.lines.At != 2 {
		t.Errorf("a click chooses line %d", p.lines.At)
	}
	turn(a, row, tea.MouseButtonWheelUp)
	if p.lines.At != 0 || p.span.back != 0 {
		t.Errorf("the wheel over the list leads to line %d, %v days back", p.lines.At, p.span.back)
	}
	do(a, "+")
	turn(a, 5, tea.MouseButtonWheelDown)
	if p.span.back != 7 {
		t.Errorf("the wheel over the chart leads %v days back, want a quarter of 28", p.span.back)
	}
	turn(a, 5, tea.MouseButtonWheelUp)
	if p.span.back != 0 {
		t.Errorf("the other way it leads %v days back", p.span.back)
	}
	do(a, "esc", "J")
	j := a.top().(*journal)
	row, _ = find(t, a, "test day")
	clickAt(a, row, 3)
	day := j.shown()[j.At].day
	do(a, "enter")
	clickAt(a, row+2, 3)
	if name := j.shown()[j.At].what; len(day) < 2 || name != day[1].what {
		t.Errorf("a click in the journal chooses %s", name)
	}
}
