package alerts

import (
	"testing"
	"time"

	"leadline/logbook"
)

// A test due in the evening belongs to the test day of that morning, by the clock of the keeper's own zone.
func TestOnTestDay(t *testing.T) {
	auckland, err := time.LoadLocation("Pacific/Auckland")
	if err != nil {
		t.Fatal(err)
	}
	due := time.Date(2026, 3, 14, 9, 30, 0, 0, time.UTC) // 22:30 in Auckland, of the same day
	tested := []logbook.Reading{{}}
	for _, c := range []struct {
		name string
		line Finding
		at   time.Time
		want bool
	}{
		{"that morning", Finding{Series: Series{Readings: tested}, Due: due}, due.Add(-9 * time.Hour), true},
		{"the evening before", Finding{Series: Series{Readings: tested}, Due: due}, due.Add(-10 * time.Hour), false},
		{"that morning in Auckland", Finding{Series: Series{Readings: tested}, Due: due},
			due.Add(-22 * time.Hour).In(auckland), true},
		{"the evening before in Auckland", Finding{Series: Series{Readings: tested}, Due: due},
			due.Add(-23 * time.Hour).In(auckland), false},
		{"late", Finding{Series: Series{Readings: tested}, Due: due}, due.AddDate(0, 1, 0), true},
		{"never tested", Finding{}, due, true},
		{"tested on occasion", Finding{Series: Series{Readings: tested}}, due, false},
	} {
		if got := c.line.OnTestDay(c.at); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
