package logbook

import (
	"testing"
)

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
		if got := Nearest(c.typed, known); got != c.want {
			t.Errorf("%q: %q, want %q", c.typed, got, c.want)
		}
	}
}
