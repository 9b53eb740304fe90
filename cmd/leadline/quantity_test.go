package main

import "testing"

func TestNearest(t *testing.T) {
	known := []string{"nitrate", "no3", "nitrite", "phosphate", "po4", "pH", "k"}
	for _, c := range []struct{ typed, want string }{
		{"nitrat", "nitrate"},
		{"ntirate", "nitrate"}, // two letters swapped
		{"fosphate", "phosphate"},
		{"NITRTE", "nitrate"},
		{"po", "po4"},
		{"phos", "phosphate"},
		{"sodium", ""},
		{"x", ""},
	} {
		if got := nearest(c.typed, known); got != c.want {
			t.Errorf("%q: %q, want %q", c.typed, got, c.want)
		}
	}
}

func TestParseDays(t *testing.T) {
	for text, want := range map[string]float64{"56d": 56, "8w": 56, "56": 56, "3.5 days": 3.5, "1 week": 7, "12000d": 12000} {
		if got, err := parseDays("--window", text); err != nil || got != want {
			t.Errorf("%q: %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "d", "-3d", "0", "NaN", "Inf", "1e999d", "next week", "3m"} {
		if got, err := parseDays("--window", text); err == nil {
			t.Errorf("%q: %v, want a refusal", text, got)
		} else if !isUsage(err) {
			t.Errorf("%q: %v is not a usage error", text, err)
		}
	}
}
