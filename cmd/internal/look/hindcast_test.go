package look

import (
	"strings"
	"testing"
	"time"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/trend"
)

// The reading that clears a warning may lie below the floor itself, when the engine holds it for a slip.
func TestAgainstCountsTheReadingThatCleared(t *testing.T) {
	p := logbook.Parameter{Name: "phosphate", Unit: "mg/L", Digits: 3}
	var readings []logbook.Reading
	var lines []alerts.Finding
	for i, v := range []float64{0.031, 0.03, 0.00003} {
		readings = append(readings, logbook.Reading{Time: time.Date(2026, 11, 4+7*i, 9, 0, 0, 0, time.UTC), Parameter: p.Name,
			Text: "x", Value: v})
		lines = append(lines, alerts.Finding{Series: alerts.Series{Parameter: p, Readings: readings[:i+1]},
			Assessment: trend.Assessment{Floor: 0.02}})
	}
	if got := (episode{0, 2}).against(lines); !strings.HasPrefix(got,
		"14 days before the first reading at or below the floor of 0.020 mg/L") {
		t.Errorf("cleared by a reading below the floor: %s", got)
	}
	if got := (episode{0, 1}).against(lines); !strings.HasPrefix(got, "no reading at or below the floor") {
		t.Errorf("cleared by one above it: %s", got)
	}
}
