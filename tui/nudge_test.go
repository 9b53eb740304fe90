package tui

import (
	"io"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

func TestNudge(t *testing.T) {
	alk := logbook.Parameter{Name: "alkalinity", Unit: "dKH", Digits: 2, MaxRise: 0.5}
	for _, c := range []struct {
		name   string
		supply float64
		at     string
		typed  string
		steps  []float64
		want   string
	}{
		{"the dosing in force goes up", 1.8, "daily dosing", "", []float64{1, 1}, "1.90"},
		{"and down", 1.8, "daily dosing", "", []float64{-1}, "1.75"},
		{"nothing is dosed yet", 0, "daily dosing", "", []float64{1}, "0.05"},
		{"never below nothing", 0, "daily dosing", "", []float64{-1}, "0.00"},
		{"what was typed keeps its unit", 1.8, "one dose today", "0.5 meq/L", []float64{1}, "0.55 meq/L"},
		{"a water change goes by five", 0, "water change", "", []float64{1, 1}, "10"},
		{"and not beyond all", 0, "water change", "100", []float64{1}, "100"},
		{"what is no number stays", 0, "one dose today", "abc", []float64{1}, "abc"},
	} {
		w := form.NewWhatIf(newApp(Options{Now: clock, Out: io.Discard, NoColor: true}).env,
			alerts.Finding{Series: alerts.Series{Parameter: alk}, Supply: c.supply})
		w.StartAt(c.at)
		w.Field(c.at).Input.SetValue(c.typed)
		for _, s := range c.steps {
			w.Nudge(s)
		}
		if got := w.Field(c.at).Input.Value(); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// A key held down may come as several in one read.
func TestNudgeHeldDown(t *testing.T) {
	alk := logbook.Parameter{Name: "alkalinity", Unit: "dKH", Digits: 2, MaxRise: 0.5}
	w := form.NewWhatIf(newApp(Options{Now: clock, Out: io.Discard, NoColor: true}).env,
		alerts.Finding{Series: alerts.Series{Parameter: alk}, Supply: 1.8})
	part.Press(w, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("+++")})
	if got := w.Field("daily dosing").Input.Value(); got != "1.95" {
		t.Errorf("%q", got)
	}
}
