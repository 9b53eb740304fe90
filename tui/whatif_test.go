package tui

import (
	"math"
	"strings"
	"testing"

	"leadline/tui/form"
)

// Millilitres of what the parameter is dosed with are taken: 10 mL raise 100 L by 1 dKH, so 9 mL raise 450 L by 0.2.
// While nothing is reckoned, or nothing can be, no number stands under "if so".
func TestWhatIfTakesMillilitres(t *testing.T) {
	_, a, _ := formBook(t)
	do(a, "enter", "i")
	w, ok := a.top().(*form.WhatIf)
	if !ok {
		t.Fatalf("no what if:\n%s", a.View())
	}
	doText(a, "9 mL")
	in, ok := w.Inputs()
	if !ok || len(in) != 1 || math.Abs(in[0].Amount-0.2) > 1e-9 {
		t.Fatalf("%+v, %v:\n%s", in, ok, a.View())
	}
	doText(a, "x")
	if w.Known || !strings.Contains(strings.Join(w.Table(), "\n"), "…") {
		t.Errorf("numbers for what cannot be read:\n%s", a.View())
	}
}

// The narrowest screen still tells how uncertain a forecast is.
func TestWhatIfKeepsTheRangeWhereItIsNarrow(t *testing.T) {
	a := exampleApp(t, true, 40, 12)
	w := form.NewWhatIf(a.env, example(t)[0].Findings[3])
	a.push(w)
	if rows := w.Table(); !strings.Contains(rows[1], "–") {
		t.Errorf("no range in %q", rows[1])
	}
}
