package logbook

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"leadline/logbook/water"
)

// practice is the part of testdata/reference/practice.json that the table rests on: common practice, no source.
type practice struct {
	Limits []struct {
		Parameter string
		AskBelow  float64 `json:"ask_below"`
		AskAbove  float64 `json:"ask_above"`
	} `json:"plausible_entry_limits"`
	Change []struct {
		Parameter string
		Default   float64
		DefaultUp float64 `json:"default_up"`
	} `json:"max_change_per_day"`
	Cadence []struct {
		Parameter string
		Settled   *float64 `json:"settled_tank"`
	} `json:"test_cadence_days"`
	Bands []struct {
		Parameter string
		Low, High float64
	} `json:"target_bands"`
}

func readPractice(t *testing.T) (p practice) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "testdata", "reference", "practice.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &p); err != nil {
		t.Fatal(err)
	}
	return p
}

func TestStandardIsCommonPractice(t *testing.T) {
	p := readPractice(t)
	for _, c := range p.Limits {
		if s := standard(t, c.Parameter); s.AskLow != c.AskBelow || s.AskHigh != c.AskAbove {
			t.Errorf("%s is asked about outside %v to %v, practice says %v to %v", s.Name, s.AskLow, s.AskHigh, c.AskBelow,
				c.AskAbove)
		}
	}
	for _, c := range p.Change {
		if s := standard(t, c.Parameter); s.MaxRise != max(c.Default, c.DefaultUp) {
			t.Errorf("%s may rise by %v a day, practice says %v", s.Name, s.MaxRise, max(c.Default, c.DefaultUp))
		}
	}
	for _, c := range p.Cadence {
		s, ok := FindParameter(Standard(), c.Parameter)
		if ok && c.Settled != nil && s.EveryDays != *c.Settled {
			t.Errorf("%s is tested every %v days, practice says %v", s.Name, s.EveryDays, *c.Settled)
		}
	}
	if len(p.Limits) < 8 || len(p.Change) < 8 || len(p.Cadence) < 8 || len(p.Bands) < 15 {
		t.Error("practice.json does not hold what it should")
	}
	for _, c := range p.Bands { // a usual band is neither impossible nor asked about
		s := standard(t, c.Parameter)
		if low, high := s.usual(); c.Low < low || c.High > high {
			t.Errorf("the usual band of %s, %v to %v, is asked about", s.Name, c.Low, c.High)
		}
	}
}

func TestStandardIsConsistent(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range Standard() {
		if err := Validate(p); err != nil {
			t.Errorf("%s: %v", p.Name, err)
		}
		if u := water.Units(p.Name); len(u) == 0 || u[0].Name() != p.Unit {
			t.Errorf("%s is kept in %s, its units are %v", p.Name, p.Unit, u)
		}
		if _, err := p.FindUnit(p.Generic.Unit); err != nil || p.Generic.Parameter != p.Name {
			t.Errorf("%s: the generic method is of %s in %s: %v", p.Name, p.Generic.Parameter, p.Generic.Unit, err)
		}
		if !(p.Min <= p.AskLow && p.AskLow < p.AskHigh && p.AskHigh <= p.Max) || !(p.Wobble > 0) || !(p.Generic.Step > 0) {
			t.Errorf("%+v", p)
		}
		for _, name := range []string{p.Name, p.Code} {
			if name = foldName(name); seen[name] && name != "ph" { // pH is its own code
				t.Errorf("%s comes twice", name)
			}
			seen[name] = true
		}
	}
	if len(Standard()) != 15 {
		t.Errorf("%d parameters", len(Standard()))
	}
}
