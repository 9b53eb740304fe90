package logbook

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// Two years of copies, three a day: of them stay the last ten, seven days, five weeks and twelve months.
func TestBackupsRotate(t *testing.T) {
	var made []time.Time
	for hour := range 730 * 3 {
		made = append([]time.Time{time.Date(2024, 1, 1, 8*hour, 0, 0, 0, time.UTC)}, made...)
		old := superfluous(made)
		made = slices.DeleteFunc(made, func(at time.Time) bool { return slices.ContainsFunc(old, at.Equal) })
	}
	months := map[time.Month]bool{}
	days := map[int]bool{}
	for i, at := range made {
		months[at.Month()] = true
		if since := made[0].Sub(at); since < 7*24*time.Hour {
			days[at.YearDay()] = true
		}
		if want := made[0].Add(-time.Duration(i) * 8 * time.Hour); i < 10 && !at.Equal(want) {
			t.Errorf("copy %d is of %v, want %v", i, at, want)
		}
	}
	if len(months) != 12 || len(days) != 7 || len(made) > 10+7+5+12 {
		t.Errorf("%d copies, of %d months and %d days of the last week: %v", len(made), len(months), len(days), made)
	}
}

// A clock goes through days of notes: a copy is made before the first of a day and holds what was noted until then.
func TestBackupEveryDay(t *testing.T) {
	b := testBook(t)
	now := time.Date(2024, 1, 1, 8, 0, 0, 0, time.UTC)
	b.NotedBy(func() time.Time { return now }, func() string { return "" })
	folder := filepath.Join(t.TempDir(), "backups")
	b.KeepBackups(folder)
	mustAppend(t, b, Tank{Name: "lagoon"})
	if made := Backups(folder, b.Path()); len(made) != 0 {
		t.Errorf("a copy of an empty book: %v", made)
	}
	for day := range 12 {
		now = time.Date(2024, 1, 2+day, 8, 0, 0, 0, time.UTC)
		for range 2 {
			mustAppend(t, b, testReading("lagoon", "nitrate", now, "4", 4))
			if err := b.BackupFailed(); err != nil {
				t.Fatal(err)
			}
			now = now.Add(time.Hour)
			if err := os.Chtimes(b.Path(), now, now); err != nil {
				t.Fatal(err)
			}
		}
		made := Backups(folder, b.Path())
		if want := time.Date(2024, 1, 2+day, 8, 0, 0, 0, time.UTC); !made[0].Equal(want) {
			t.Fatalf("the newest copy is of %v, want %v", made[0], want)
		}
	}
	made := Backups(folder, b.Path())
	mustBeSound(t, backupPath(folder, b.Path(), made[0]))
	if n := len(allReadings(t, newBook(backupPath(folder, b.Path(), made[0])))); n != 11*2 {
		t.Errorf("the newest copy holds %d readings, want those of the days before", n)
	}
}

// A copy on request is made of what is new alone. Where none can be made, the writing goes on and it is said.
func TestBackupNow(t *testing.T) {
	b := testBook(t)
	now := time.Date(2026, 3, 7, 8, 0, 0, 0, time.UTC)
	b.NotedBy(func() time.Time { return now }, func() string { return "" })
	folder := t.TempDir()
	other := filepath.Join(folder, "another file")
	if err := os.WriteFile(other, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	b.KeepBackups(folder)
	mustAppend(t, b, Tank{Name: "lagoon"})
	at := func(hour int) {
		now = now.Add(time.Duration(hour) * time.Hour)
		if err := os.Chtimes(b.Path(), now, now); err != nil {
			t.Fatal(err)
		}
		now = now.Add(time.Minute)
		b.BackupNow()
	}
	at(0)
	b.BackupNow()
	at(1)
	if made := Backups(folder, b.Path()); len(made) != 2 || !slices.IsSortedFunc(made, func(a, b time.Time) int {
		return b.Compare(a)
	}) {
		t.Errorf("want two copies, the newest first: %v", made)
	}
	if _, err := os.Stat(other); err != nil {
		t.Error(err)
	}
	b.KeepBackups(other)
	mustAppend(t, b, testReading("lagoon", "nitrate", now, "4", 4))
	if err := b.BackupFailed(); err == nil || !strings.Contains(err.Error(), other) || errors.Is(err, ErrExists) {
		t.Errorf("a file in the place of the folder: %v", err)
	}
}

// Copies of a large book are fewer.
func TestBackupsAreWithinABound(t *testing.T) {
	b := testBook(t)
	folder := t.TempDir()
	now := time.Date(2026, 3, 7, 8, 0, 0, 0, time.UTC)
	b.NotedBy(func() time.Time { return now }, func() string { return "" })
	b.KeepBackups(folder)
	for day := range 6 {
		path := backupPath(folder, b.Path(), now.AddDate(0, 0, -1-day))
		if err := errors.Join(os.WriteFile(path, nil, 0o600), os.Truncate(path, 600<<20)); err != nil {
			t.Fatal(err)
		}
	}
	mustAppend(t, b, Tank{Name: "lagoon"})
	if made := Backups(folder, b.Path()); len(made) != 3 || !made[0].Equal(now) {
		t.Errorf("want the last three: %v", made)
	}
}
