package tui

import (
	"strings"
	"testing"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/logbook"
	"leadline/trend"
)

// A decimal comma is one wherever a number is typed.
func TestDecimalCommaInForms(t *testing.T) {
	b, a, _ := formBook(t)
	do(a, "w")
	doText(a, "12,5%")
	do(a, "ctrl+s", "d")
	doText(a, "4,5 mL") // of 10 mL raising 100 L by 1 dKH: 450 L by 0.1
	do(a, "ctrl+s")
	if es := entriesOf(t, b, logbook.KindWaterChange); len(es) != 1 || es[0].(logbook.WaterChange).Fraction != 0.125 {
		t.Errorf("water change: %+v\n%s", es, a.View())
	}
	es := entriesOf(t, b, logbook.KindDose)
	if len(es) != 1 || es[0].(logbook.Dose).Amount != 0.1 || es[0].(logbook.Dose).Note != "4.5 mL" {
		t.Errorf("dose: %+v\n%s", es, a.View())
	}
}

// A value that cannot be is not taken by enter, which says so; the arrow goes on, and the value stays as it is.
func TestRefusedFieldCanBeLeft(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	d := showTestDay(t, a)
	keysOf(a, "8", ",", "1", "enter")
	if d.at != 1 || d.fields[0].result.Value != 8.1 {
		t.Fatalf("8,1: %+v, at %d", d.fields[0].result, d.at)
	}
	keysOf(a, "x", "enter")
	if d.at != 1 || d.Message == "" {
		t.Errorf("enter: at %d, says %q", d.at, d.Message)
	}
	keysOf(a, "down", "7")
	if d.at != 2 || d.fields[1].text() != "x" || d.fields[1].refused == "" || d.fields[2].text() != "7" {
		t.Errorf("down: at %d, %q, %q", d.at, d.fields[1].text(), d.fields[2].text())
	}
	keysOf(a, "ctrl+s")
	if d.saving || d.at != 1 {
		t.Errorf("saved with a value that cannot be, or not shown it: at %d", d.at)
	}
}

// A field takes a unit behind the number, so it must not say that the unit has another place.
func TestRefusalOfATextThatIsNoNumber(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	d := showTestDay(t, a)
	keysOf(a, "x", "4", "5")
	if said := d.fields[0].refused; !strings.Contains(said, "behind it a unit") || strings.Contains(said, "own place") {
		t.Errorf("%q", said)
	}
}

// Of two units that would explain a slip, the one that puts the number where it is expected is offered: 45 ppb is 0.045
// mg/L, 45 ppb P is 0.138 mg/L.
func TestOfTwoUnitsTheExpectedIsOffered(t *testing.T) {
	p := parameter(t, "phosphate")
	for _, c := range []struct {
		lo, hi float64
		want   string
	}{{0.02, 0.1, "45 ppb"}, {0.1, 0.2, "45 ppb P"}, {0, 0, "45 ppb P"}} {
		f := &testField{at: clock, Test: entry.Test{
			Finding:  alerts.Finding{Series: alerts.Series{Parameter: p, Readings: weekly(p, "forereef", "", 0.05)}},
			Unit:     "mg/L",
			Expected: trend.Prediction{Lo: c.lo, Hi: c.hi}}}
		f.input.SetValue("45")
		f.parse()
		if _, got := f.question(); got != c.want {
			t.Errorf("expected %g to %g: %q, want %q", c.lo, c.hi, got, c.want)
		}
	}
}
