package tui

import (
	"testing"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
)

// The search of the journal finds what stands on the screen, by the clock of the tank, and a parameter by its code.
func TestJournalSearch(t *testing.T) {
	zone := time.FixedZone("", 13*3600)
	known := words.Known{Parameters: logbook.Standard()}
	at := time.Date(2026, 10, 25, 20, 30, 0, 0, time.UTC) // the morning of the 26th there
	reading := newRecord(logbook.Reading{Time: at, Parameter: "nitrate", Text: "5", Unit: "mg/L", Value: 5,
		Method: "drops", Note: "New bottle"}, known, true)
	struck := reading
	struck.struck, struck.why = true, "wrong tank"
	event := newRecord(logbook.Event{Time: at, Text: "stays closed"}, known, true)
	for _, c := range []struct {
		text                   string
		reading, struck, event bool
	}{
		{"", true, true, true},
		{"nitrate", true, true, false},
		{"no3", true, true, false},
		{"no", true, true, false},
		{"new bottle", true, true, false},
		{"5 mg/l", true, true, false},
		{"struck", false, true, false},
		{"because wrong", false, true, false},
		{"26 oct", true, true, true},
		{"oct 2026", true, true, true},
		{"09:30", true, true, true},
		{"25 oct", false, false, false},
		{"closed", false, false, true},
	} {
		for _, x := range []struct {
			r    record
			want bool
		}{{reading, c.reading}, {struck, c.struck}, {event, c.event}} {
			if got := x.r.says(c.text, zone); got != x.want {
				t.Errorf("%q in %q: %v", c.text, x.r.words(), got)
			}
		}
	}
}

// Readings of one moment that were struck at different times are lines of their own: each is brought back by itself.
func TestStruckApartStandsApart(t *testing.T) {
	at := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	struck := func(n int, when time.Time) record {
		return record{entry: logbook.Reading{ID: logbook.NewID(at, "n", n), Time: at, Parameter: "nitrate", Text: "62"},
			struck: true, struckAt: when}
	}
	rows := []record{struck(1, at.Add(time.Hour)), struck(2, at.Add(2*time.Hour)), struck(3, at.Add(2*time.Hour))}
	if got := inDays(rows, nil); len(got) != 2 || len(got[0].day) != 0 || len(got[1].day) != 2 {
		t.Errorf("%d lines: %+v", len(got), got)
	}
}
