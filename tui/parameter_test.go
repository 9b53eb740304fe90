package tui

import (
	"strings"
	"testing"

	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

// Zoom and pan move the window and bring its own readings and records; now is one key away.
func TestParameterWindow(t *testing.T) {
	b := tankBook(t)
	if _, err := b.Append(logbook.Event{Time: noon.AddDate(0, 0, -300), Tank: "forereef", Text: "new lamp"}); err != nil {
		t.Fatal(err)
	}
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	settleAll(a, a.push(newParameterScreen(a.env, logbook.Tank{Name: "forereef"}, part.Place{Parameter: "nitrate"})))
	p := a.top().(*parameterScreen)
	holds := func(text string) bool { return strings.Contains(a.View(), text) }
	if holds("new lamp") || len(p.shown) != 6 {
		t.Fatalf("twelve weeks show %d readings:\n%s", len(p.shown), a.View())
	}
	do(a, "-", "-")
	do(a, "G")
	if !holds("new lamp") {
		t.Errorf("a year does not show the event:\n%s", a.View())
	}
	do(a, "0", "h", "h")
	if len(p.shown) == 6 {
		t.Error("six weeks back show the latest reading still")
	}
	do(a, "0")
	if len(p.shown) != 6 || p.span.back != 0 {
		t.Error("0 does not lead back to now")
	}
	do(a, "tab")
	if p.name == "nitrate" || p.line.Parameter.Name != p.name {
		t.Errorf("next parameter: %s, %s", p.name, p.line.Parameter.Name)
	}
}

// An answer to an older question is dropped.
func TestLateAnswersAreDropped(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true})
	old := a.home.Init()
	a.home.Init()
	if a.Update(old()); a.home.Loaded {
		t.Error("the glance took an answer that was overtaken")
	}
	a = exampleApp(t, true, 80, 24)
	d := showTestDay(t, a)
	keysOf(a, "8")
	d.hear(0, "7", d.fields[0].Method, d.fields[0].verdict)
	if d.fields[0].judged != "" {
		t.Error("a judgement of 7 was taken for 8")
	}
}

// The hindcast marks where it would have warned of the floor, once for every time it began.
func TestHindcastMarks(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	showParameter(t, a)
	p := a.top().(*parameterScreen)
	p.mark("phosphate", nil)
	before := strings.Count(a.View(), "!")
	p.mark("phosphate", exampleTimes(-30, -9))
	if got := strings.Count(a.View(), "!") - before; got != 3 { // two on the axis, one in the words below
		t.Errorf("%d marks more:\n%s", got, a.View())
	}
	p.mark("nitrate", exampleTimes(-40))
	if len(p.warned) != 2 {
		t.Error("the hindcast of another parameter was taken")
	}
}

// Every binding that a help line names does something else than nothing when the screen is asked for its keys: no two
// bindings of one screen share a key.
func TestNoKeyTwice(t *testing.T) {
	for name, show := range scenes() {
		a := exampleApp(t, true, 120, 40)
		show(t, a)
		seen := map[string]string{}
		for _, c := range append(a.top().Commands(), a.commands()...) {
			for _, k := range c.Keys {
				if other, twice := seen[k]; twice && other != c.Words {
					t.Errorf("%s: %q means %q and %q", name, k, other, c.Words)
				}
				seen[k] = c.Words
			}
		}
	}
}

// A key that cannot do what it is for says so, and one without a meaning says where the keys stand.
func TestKeysAnswer(t *testing.T) {
	b := tankBook(t)
	a := openApp(b)
	says := func(text string, keys ...string) {
		t.Helper()
		do(a, keys...)
		if !strings.Contains(a.View(), text) {
			t.Errorf("%v does not say %q:\n%s", keys, text, a.View())
		}
	}
	says("? shows the keys", "U")
	says("? shows the keys", "Z")
	do(a, "g", "enter", "x", "ctrl+o", "ctrl+s")
	says("this line is struck", "r")
	says("1 line counts again; u takes it back", "x")
	says("taken back: 1 reading struck", "u")
	says("esc brings the list back", "W", "x")
	do(a, "esc")
	if p, on := a.top().(*parameterScreen); !on || p.aside.of != nothing {
		t.Fatalf("esc did not close the reasons alone: %s", a.top().About().Title)
	}
	do(a, "U", "esc")
	if p, on := a.top().(*parameterScreen); !on || p.aside.of != nothing {
		t.Fatalf("esc did not close the demand alone: %s", a.top().About().Title)
	}
	do(a, "esc")
	if len(a.stack) != 1 {
		t.Error("esc does not leave the chart")
	}
}

// A what-if follows the book: a dosing that is struck elsewhere is no longer "as it is".
func TestWhatIfFollowsTheBook(t *testing.T) {
	b := tankBook(t)
	ids, err := b.Append(logbook.Dosing{Time: noon.AddDate(0, 0, -20), Tank: "forereef", Parameter: "nitrate", PerDay: 0.5,
		Unit: "mg/L"})
	if err != nil {
		t.Fatal(err)
	}
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	settleAll(a, a.push(newParameterScreen(a.env, logbook.Tank{Name: "forereef"}, part.Place{Parameter: "nitrate"})))
	do(a, "i")
	if !strings.Contains(a.View(), "now 0.5 mg/L a day") {
		t.Fatalf("no dosing:\n%s", a.View())
	}
	before := a.top().(*form.WhatIf).Shown.SlopePerWeek
	if _, err := b.Strike(logbook.Strike{Target: ids[0], Time: noon, Why: "never given"}, nil); err != nil {
		t.Fatal(err)
	}
	settleAll(a, a.readAnew())
	if !strings.Contains(a.View(), "now 0 mg/L a day") || a.top().(*form.WhatIf).Shown.SlopePerWeek == before {
		t.Errorf("the struck dosing stands still:\n%s", a.View())
	}
}

// The reasons can be read to their end on the smallest screen, and zooming out ends where the book begins.
func TestWhyScrollsAndZoomEnds(t *testing.T) {
	a := exampleApp(t, true, 40, 12)
	showParameter(t, a)
	keysOf(a, "W")
	if strings.Contains(a.View(), "Kendall") || !strings.Contains(a.View(), "j: more") {
		t.Fatalf("nothing to scroll to:\n%s", a.View())
	}
	for range 20 {
		keysOf(a, "j")
	}
	if !strings.Contains(a.View(), "Kendall") || strings.Contains(a.View(), "j: more") {
		t.Errorf("the end of the reasons is not reached:\n%s", a.View())
	}
	keysOf(a, "k")
	if !strings.Contains(a.View(), "j: more") {
		t.Errorf("one row up from the end:\n%s", a.View())
	}

	b := tankBook(t)
	a = newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	settleAll(a, a.push(newParameterScreen(a.env, logbook.Tank{Name: "forereef"}, part.Place{Parameter: "nitrate"})))
	do(a, "-", "-", "-", "h")
	p := a.top().(*parameterScreen)
	if p.span.zoom != 1 || p.span.back != 0 || !strings.Contains(a.View(), "nothing earlier") {
		t.Errorf("six weeks of readings are shown over %v days, %v back", zooms()[p.span.zoom], p.span.back)
	}
}
