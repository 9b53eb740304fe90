package app

import (
	"testing"

	"leadline/cmd/internal/usage"
)

func TestParseDays(t *testing.T) {
	for text, want := range map[string]float64{"56d": 56, "8w": 56, "56": 56, "3.5 days": 3.5, "1 week": 7,
		"12000d": 12000} {
		if got, err := ParseDays("--window", text); err != nil || got != want {
			t.Errorf("%q: %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "d", "-3d", "0", "NaN", "Inf", "1e999d", "next week", "3m"} {
		if got, err := ParseDays("--window", text); err == nil {
			t.Errorf("%q: %v, want a refusal", text, got)
		} else if !usage.IsWrong(err) {
			t.Errorf("%q: %v is not a usage error", text, err)
		}
	}
}
