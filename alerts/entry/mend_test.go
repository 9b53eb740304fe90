package entry

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
)

// TestEndOfAnID finds an entry by the end of its ID, and takes none where several end so.
func TestEndOfAnID(t *testing.T) {
	b, err := logbook.Create(filepath.Join(t.TempDir(), "keeper.book"))
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	recs := []logbook.Record{logbook.Tank{Name: "forereef"}}
	for _, id := range []string{"01JZZZZZZZZZZZZZZZZZZA7X3F", "01JZZZZZZZZZZZZZZZZZZB7X3F", "01JZZZZZZZZZZZZZZZZZZBBBBB"} {
		r := logbook.Event{Time: at, Tank: "forereef", Text: "polyps " + id[21:22]}
		if r.ID, err = logbook.ParseID(id); err != nil {
			t.Fatal(err)
		}
		recs = append(recs, r)
	}
	if _, err := b.Append(recs...); err != nil {
		t.Fatal(err)
	}
	err = b.View(func(v *logbook.View) error {
		for _, c := range []struct{ typed, want string }{
			{"7X3F", "2 ids end in \"7X3F\"\nhint: A7X3F 2026-03-07 09:00 forereef polyps A; B7X3F 2026-03-07 09:00 forereef " +
				"polyps B"},
			{"a7x3f", "polyps A"}, {"01JZZZZZZZZZZZZZZZZZZB7X3F", "polyps B"}, {"BBBB", "polyps B"}, {"BBB", "no entry's id"},
			{"B-BB", "no entry's id"},
			{"last", "polyps B"},
		} {
			es, err := Choose(v, []string{c.typed}, "", false)
			got := ""
			if r, is := err.(logbook.Refusal); is {
				got = r.Reason + "\nhint: " + r.Hint
			} else if len(es) == 1 {
				got = es[0].(logbook.Event).Text
			}
			if !strings.Contains(got, c.want) {
				t.Errorf("%s: %q, %v; want %q", c.typed, got, err, c.want)
			}
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

// TestRedate corrects the time alone, the date alone, and both.
func TestRedate(t *testing.T) {
	zone := time.FixedZone("", 13*3600)
	old := logbook.Event{Time: time.Date(2026, 3, 4, 9, 30, 15, 0, zone)}
	now := time.Date(2026, 3, 7, 8, 0, 0, 0, zone)
	for _, c := range []struct{ typed, want string }{
		{"18:00", "2026-03-04 18:00:00"}, {"2026-03-01", "2026-03-01 09:30:15"}, {"yesterday", "2026-03-06 09:30:15"},
		{"2026-03-02 12:00", "2026-03-02 12:00:00"}, {"yesterday 7:45", "2026-03-06 07:45:00"}, {"today", "later than now"},
		{"9 Mar", "later than now"},
	} {
		at, err := Redate(c.typed, old, zone, now)
		if got := at.Format(time.DateTime); err == nil && got != c.want ||
			err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %s, %v; want %s", c.typed, got, err, c.want)
		}
	}
}

// A corrected date falls on no time that the clocks skip, nor on one that they show twice, unasked.
func TestRedateOfChangedClocks(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Lisbon")
	if err != nil {
		t.Fatal(err)
	}
	old := logbook.Event{Time: time.Date(2026, 11, 3, 1, 30, 0, 0, zone)}
	now := time.Date(2026, 11, 30, 8, 0, 0, 0, zone)
	for typed, why := range map[string]string{"2026-03-29": "does not exist", "2026-10-25": "twice"} {
		if at, err := Redate(typed, old, zone, now); err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("%s: %s, %v; want it refused: %s", typed, at, err, why)
		}
	}
}

// Of a shorter month it is the last day.
func TestMonthsAgo(t *testing.T) {
	now := time.Date(2026, 11, 30, 8, 0, 0, 0, time.UTC)
	if at, err := When("9 months ago", now); err != nil || at.Format(time.DateOnly) != "2026-02-28" {
		t.Errorf("9 months before 30 November: %s, %v", at, err)
	}
}

// Test days of two moments that are given another date keep their distance; who tested stays with a corrected value.
func TestMendingMovesAsFar(t *testing.T) {
	b, err := logbook.Create(filepath.Join(t.TempDir(), "keeper.book"))
	if err != nil {
		t.Fatal(err)
	}
	at := func(day, hour int) time.Time { return time.Date(2026, 10, day, hour, 0, 0, 0, time.UTC) }
	read := func(text string, when time.Time) logbook.Record {
		p, _ := logbook.FindParameter(logbook.Standard(), "alkalinity")
		r, err := logbook.ParseReading(p, text, "")
		if err != nil {
			t.Fatal(err)
		}
		r.Tank, r.Time, r.Who = "forereef", when, "ben"
		return r
	}
	if _, err := b.Append(logbook.Tank{Name: "forereef", Timezone: "UTC"}, read("8.1", at(26, 18)),
		read("7.9", at(19, 9))); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ typed, first, second string }{
		{"27 Oct", "2026-10-27 18:00", "2026-10-20 09:00"}, {"25 Oct 17:00", "2026-10-25 17:00", "2026-10-18 08:00"},
	} {
		err := b.View(func(v *logbook.View) error {
			es, err := v.Entries("forereef", logbook.KindReading, at(1, 0), at(31, 0))
			if err != nil {
				return err
			}
			slices.Reverse(es)
			cs, _, err := Mending{When: &c.typed}.Lines(v, es, at(31, 0))
			if err != nil || len(cs) != 2 || words.Moment(cs[0].New.When().UTC()) != c.first ||
				words.Moment(cs[1].New.When().UTC()) != c.second {
				t.Errorf("%s: %+v, %v; want %s and %s", c.typed, cs, err, c.first, c.second)
			}
			value := "8.3"
			cs, _, err = Mending{Value: &value}.Lines(v, es[:1], at(31, 0))
			if err != nil || cs[0].New.(logbook.Reading).Who != "ben" {
				t.Errorf("who tested is lost: %+v, %v", cs, err)
			}
			who := "ann"
			cs, _, err = Mending{Who: &who}.Lines(v, es[:1], at(31, 0))
			if err != nil || cs[0].New.(logbook.Reading).Who != "ann" {
				t.Errorf("who tested is not corrected: %+v, %v", cs, err)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}
