package entry

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

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
			{"7X3F", "2 ids end in \"7X3F\"\nhint: A7X3F 2026-03-07 09:00 forereef polyps A; B7X3F 2026-03-07 09:00 forereef polyps B"},
			{"a7x3f", "polyps A"}, {"01JZZZZZZZZZZZZZZZZZZB7X3F", "polyps B"}, {"BBBB", "polyps B"}, {"BBB", "no entry's id"}, {"B-BB", "no entry's id"},
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
	} {
		at, err := Redate(c.typed, old, zone, now)
		if got := at.Format(time.DateTime); err == nil && got != c.want || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %s, %v; want %s", c.typed, got, err, c.want)
		}
	}
}
