package alerts

import (
	"path/filepath"
	"testing"
	"time"

	"leadline/logbook"
)

// A row is a moment; a second reading of a parameter has one of its own; what was done stands with the nearest of its
// day.
func TestTableRows(t *testing.T) {
	b, err := logbook.Create(filepath.Join(t.TempDir(), "keeper.book"))
	if err != nil {
		t.Fatal(err)
	}
	zone := "Pacific/Auckland"
	at := func(day, hour int) time.Time {
		loc, err := time.LoadLocation(zone)
		if err != nil {
			t.Fatal(err)
		}
		return time.Date(2026, 3, day, hour, 0, 0, 0, loc)
	}
	tank := logbook.Tank{Name: "forereef", Timezone: zone, Order: logbook.Order{"nitrate"}}
	read := func(name, text string, when time.Time) logbook.Record {
		r, err := logbook.ParseReading(parameter(t, name), text, "")
		if err != nil {
			t.Fatal(err)
		}
		r.Tank, r.Time = "forereef", when
		return r
	}
	event := func(text string, when time.Time) logbook.Record {
		return logbook.Event{Tank: "forereef", Time: when, Text: text}
	}
	_, err = b.Append(tank,
		read("alkalinity", "8.0", at(2, 9)), read("nitrate", "5", at(2, 9)), read("alkalinity", "8.1", at(2, 9)),
		read("alkalinity", "7.9", at(2, 21)), read("nitrate", "6", at(4, 9)),
		event("morning", at(2, 8)), event("evening", at(2, 20)), event("evening before", at(1, 22)), event("late", at(1, 23)))
	if err != nil {
		t.Fatal(err)
	}
	var got Table
	if err := b.View(func(v *logbook.View) (err error) {
		stored, err := v.Tank("forereef")
		if err == nil {
			got, err = TableOf(v, stored, nil, at(1, 0), at(5, 0))
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
	want := [][]string{
		{"date", "time", "nitrate mg/L", "alkalinity dKH", "done"},
		{"2026-03-04", "09:00", "6", "", ""},
		{"2026-03-02", "21:00", "", "7.9", "evening"},
		{"2026-03-02", "09:00", "5", "8.0", "morning"},
		{"2026-03-02", "09:00", "", "8.1", ""},
		{"2026-03-01", "22:00", "", "", "evening before, late"},
	}
	lines := [][]string{got.Head()}
	for _, r := range got.Rows {
		lines = append(lines, got.Line(r))
	}
	if len(lines) != len(want) {
		t.Fatalf("%d rows: %q", len(lines), lines)
	}
	for i := range want {
		for j := range want[i] {
			if lines[i][j] != want[i][j] {
				t.Errorf("row %d: %q, want %q", i, lines[i], want[i])
				break
			}
		}
	}
}
