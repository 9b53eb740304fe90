package tui

import (
	"io"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/tui/part"
)

func TestNudge(t *testing.T) {
	alk := logbook.Parameter{Name: "alkalinity", Unit: "dKH", Digits: 2, MaxRise: 0.5}
	for _, c := range []struct {
		name   string
		supply float64
		at     int
		typed  string
		steps  []float64
		want   string
	}{
		{"the dosing in force goes up", 1.8, ifDosing, "", []float64{1, 1}, "1.90"},
		{"and down", 1.8, ifDosing, "", []float64{-1}, "1.75"},
		{"nothing is dosed yet", 0, ifDosing, "", []float64{1}, "0.05"},
		{"never below nothing", 0, ifDosing, "", []float64{-1}, "0.00"},
		{"what was typed keeps its unit", 1.8, ifDose, "0.5 meq/L", []float64{1}, "0.55 meq/L"},
		{"a water change goes by five", 0, ifChange, "", []float64{1, 1}, "10"},
		{"and not beyond all", 0, ifChange, "100", []float64{1}, "100"},
		{"what is no number stays", 0, ifDose, "abc", []float64{1}, "abc"},
	} {
		w := newWhatIf(newApp(Options{Now: clock, Out: io.Discard, NoColor: true}).env,
			alerts.Finding{Series: alerts.Series{Parameter: alk}, Supply: c.supply})
		w.at = c.at
		w.fields[c.at].input.SetValue(c.typed)
		for _, s := range c.steps {
			w.nudge(s)
		}
		if got := w.fields[c.at].input.Value(); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// A key held down may come as several in one read.
func TestNudgeHeldDown(t *testing.T) {
	alk := logbook.Parameter{Name: "alkalinity", Unit: "dKH", Digits: 2, MaxRise: 0.5}
	w := newWhatIf(newApp(Options{Now: clock, Out: io.Discard, NoColor: true}).env,
		alerts.Finding{Series: alerts.Series{Parameter: alk}, Supply: 1.8})
	part.Press(w, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("+++")})
	if got := w.fields[ifDosing].input.Value(); got != "1.95" {
		t.Errorf("%q", got)
	}
}
