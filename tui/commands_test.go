package tui

import (
	"strings"
	"testing"
)

// The palette of the first screen finds what a keeper looks for by name, that of the chosen line's own screen and of
// the command line included.
func TestPaletteFindsByOtherWords(t *testing.T) {
	for _, words := range []string{"demand", "undo", "what if", "what-if", "supplement", "plan", "import", "merge",
		"calendar", "target", "correct"} {
		a := exampleApp(t, true, 80, 24)
		a.palette(words)
		if p := a.top().(*palette); len(p.found()) == 0 {
			t.Errorf("nothing is found by %q", words)
		}
	}
}

// A command of the chosen line's screen opens it, and does there what its key does.
func TestPaletteDoesWhatTheLinesScreenDoes(t *testing.T) {
	for words, want := range map[string]string{"alkalinity: demand": "the tank",
		"alkalinity: what if": "what if: alkalinity", "alkalinity: plan": "plan: alkalinity", "undo": "strike"} {
		a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true})
		resize(a, 80, 24)
		settleAll(a, a.top().Init())
		do(a, "g", ":")
		doText(a, words)
		do(a, "enter")
		if view := a.View(); !strings.Contains(view, want) {
			t.Errorf("%s led to\n%s", words, view)
		}
	}
}

// Behind the last method of a parameter comes none, so that the key goes round.
func TestOtherMethodGoesRound(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	d := showTestDay(t, a)
	f := d.fields[0]
	f.methods, f.Method = []string{"drop kit", "titration"}, ""
	for _, want := range []string{"drop kit", "titration", "", "drop kit"} {
		keysOf(a, "ctrl+o")
		if f.Method != want {
			t.Errorf("%q, want %q", f.Method, want)
		}
	}
}
