package tui

import (
	"strings"
	"testing"

	"leadline/logbook"
)

func lineOrder(g *glance) string {
	var out []string
	for _, l := range g.reports[0].Findings {
		out = append(out, l.Parameter.Name)
	}
	return strings.Join(out, " ")
}

// A line moved on the glance stays where it was put: in the book, on a test day and in the order of the charts.
func TestLinesAreMoved(t *testing.T) {
	b := tankBook(t)
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 120, 40)
	settleAll(a, a.top().Init())
	g := a.top().(*glance)
	do(a, "g", ">", ">", ">")
	want := "calcium magnesium nitrate alkalinity phosphate salinity temperature pH"
	if got := lineOrder(g); got != want {
		t.Fatalf("the lines are %s, want %s", got, want)
	}
	if _, at := g.place(); at != "alkalinity" {
		t.Errorf("the cursor left its line for %s", at)
	}
	do(a, "G", "<")
	do(a, "g", "<") // already first
	want = "calcium magnesium nitrate alkalinity phosphate salinity pH temperature"
	var tank logbook.Tank
	if err := b.View(func(v *logbook.View) (err error) { tank, err = v.Tank("forereef"); return err }); err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(tank.Order, " "); got != want || lineOrder(g) != want {
		t.Errorf("the book has %s, the glance %s, want %s", got, lineOrder(g), want)
	}
	if tank.Bands["phosphate"].Floor == nil || tank.VolumeL != 450 {
		t.Errorf("moving a line changed the tank otherwise: %+v", tank)
	}
	do(a, "t")
	var fields []string
	for _, f := range a.top().(*testDay).fields {
		fields = append(fields, f.Parameter.Name)
	}
	if got := strings.Join(fields, " "); got != want {
		t.Errorf("the test day goes through %s, want %s", got, want)
	}
	do(a, "esc", "g", "enter")
	if p := a.top().(*parameterScreen); strings.Join(p.others, " ") != want {
		t.Errorf("the charts come in the order %v", p.others)
	}
}

// A tank without an order of its own takes the usual one.
func TestUsualOrder(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true, Order: []string{"po4", "nitrate"}})
	resize(a, 120, 40)
	settleAll(a, a.top().Init())
	if got := lineOrder(a.top().(*glance)); !strings.HasPrefix(got, "phosphate nitrate alkalinity calcium ") {
		t.Errorf("the lines are %s", got)
	}
}

// What is on its way when a line is moved has the old order, and is dropped.
func TestLateLookKeepsNoOldOrder(t *testing.T) {
	b := tankBook(t)
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 120, 40)
	settleAll(a, a.top().Init())
	g := a.top().(*glance)
	late := g.Init()() // the book changed elsewhere
	keysOf(a, "g")
	_, write := a.Update(keyNamed(">"))
	a.Update(late)
	if got := lineOrder(g); !strings.HasPrefix(got, "calcium alkalinity ") {
		t.Errorf("a late answer put the lines back: %s", got)
	}
	settleAll(a, write)
	if got := lineOrder(g); !strings.HasPrefix(got, "calcium alkalinity ") || g.left != 0 ||
		strings.Contains(a.View(), "looking") {
		t.Errorf("the lines are %s:\n%s", got, a.View())
	}
}
