package logbook

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// Two years of copies, three a day: of them stay the last ten, seven days, five weeks and twelve months.
func TestBackupsRotate(t *testing.T) {
	var made []time.Time
	for hour := range 730 * 3 {
		made = append([]time.Time{time.Date(2024, 1, 1, 8*hour, 0, 0, 0, time.UTC)}, made...)
		made = slices.SortedFunc(slices.Values(worthKeeping(made)), func(a, b time.Time) int { return b.Compare(a) })
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
	now, folder := time.Date(2024, 1, 1, 8, 0, 0, 0, time.UTC), filepath.Join(t.TempDir(), "backups")
	b := copiedBook(t, folder, &now)
	mustAppend(t, b, Tank{Name: "lagoon"})
	if made := Backups(folder, b.Path(), now); len(made) != 0 {
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
		made := Backups(folder, b.Path(), now)
		if want := time.Date(2024, 1, 2+day, 8, 0, 0, 0, time.UTC); !made[0].Equal(want) {
			t.Fatalf("the newest copy is of %v, want %v", made[0], want)
		}
	}
	made := Backups(folder, b.Path(), now)
	mustBeSound(t, backupPath(folder, b.Path(), made[0]))
	if n := len(allReadings(t, newBook(backupPath(folder, b.Path(), made[0])))); n != 11*2 {
		t.Errorf("the newest copy holds %d readings, want those of the days before", n)
	}
}

// copiedBook is a book whose copies go into a folder, by a clock.
func copiedBook(t *testing.T, folder string, now *time.Time) *Book {
	t.Helper()
	b := testBook(t)
	b.NotedBy(func() time.Time { return *now }, func() string { return "" })
	b.KeepBackups(folder)
	return b
}

// A copy on request is made of what is new alone. Where none can be made, the writing goes on and it is said.
func TestBackupNow(t *testing.T) {
	now, folder := time.Date(2026, 3, 7, 8, 0, 0, 0, time.UTC), t.TempDir()
	b := copiedBook(t, folder, &now)
	other := filepath.Join(folder, "another file")
	if err := os.WriteFile(other, nil, 0o600); err != nil {
		t.Fatal(err)
	}
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
	if made := Backups(folder, b.Path(), now); len(made) != 2 || !slices.IsSortedFunc(made, func(a, b time.Time) int {
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

// Copies of a large book are fewer: those of days go behind those of one hour.
func TestBackupsAreWithinABound(t *testing.T) {
	now, folder := time.Date(2026, 3, 7, 8, 0, 0, 0, time.UTC), t.TempDir()
	b := copiedBook(t, folder, &now)
	copyOf := func(at time.Time, bytes int64) {
		path := backupPath(folder, b.Path(), at)
		if err := errors.Join(os.WriteFile(path, nil, 0o600), os.Truncate(path, bytes)); err != nil {
			t.Fatal(err)
		}
	}
	for day := range 6 {
		copyOf(now.AddDate(0, 0, -1-day), 600<<20)
		copyOf(now.AddDate(0, 0, -1-day).Add(-time.Minute), 600<<20)
	}
	mustAppend(t, b, Tank{Name: "lagoon"})
	want := []time.Time{now, now.AddDate(0, 0, -1), now.AddDate(0, 0, -2)}
	if made := Backups(folder, b.Path(), now); !slices.EqualFunc(made, want, time.Time.Equal) {
		t.Errorf("want the last of three days: %v", made)
	}
	for _, at := range want[1:] {
		copyOf(at, 1<<20)
	}
	for minute := range 11 {
		copyOf(now.Add(-time.Duration(1+minute)*time.Minute), 1<<20)
	}
	copyOf(now.AddDate(0, -1, 0), 1<<20)
	b.removeOld()
	if made := Backups(folder, b.Path(), now); len(made) != 13 || !made[12].Equal(now.AddDate(0, -1, 0)) {
		t.Errorf("the copy of last month goes before those of this hour: %v", made)
	}
}

// A copy made while the clock was ahead is no reason to make none.
func TestBackupBehindAWrongClock(t *testing.T) {
	now, folder := time.Date(2031, 1, 1, 8, 0, 0, 0, time.UTC), t.TempDir()
	b := copiedBook(t, folder, &now)
	mustAppend(t, b, Tank{Name: "lagoon"})
	mustAppend(t, b, testReading("lagoon", "nitrate", now, "4", 4))
	now = time.Date(2026, 3, 7, 8, 0, 0, 0, time.UTC)
	mustAppend(t, b, testReading("lagoon", "nitrate", now, "4", 4))
	if made := Backups(folder, b.Path(), now); len(made) != 1 || !made[0].Equal(now) {
		t.Errorf("want a copy of today: %v", made)
	}
}

// A book that its backup shows to be damaged is not written to.
func TestBackupFindsDamage(t *testing.T) {
	b := testBook(t)
	now := time.Date(2026, 3, 7, 8, 0, 0, 0, time.UTC)
	var many []Record
	for i := range 60_000 { // larger than what is read through before each writing
		many = append(many, testReading("lagoon", "nitrate", now.Add(time.Duration(i)*time.Minute), "4", 4))
	}
	mustAppend(t, b, append([]Record{Tank{Name: "lagoon"}}, many...)...)
	data, err := os.ReadFile(b.Path())
	if err != nil {
		t.Fatal(err)
	}
	if len(data) < smallBook {
		t.Fatalf("the book has %d bytes: the test is void", len(data))
	}
	for at := 1 << 18; at < len(data); at += 1 << 18 {
		data[at+2000] ^= 0xff
	}
	b = newBook(filepath.Join(t.TempDir(), "damaged.book"))
	if err := os.WriteFile(b.Path(), data, 0o600); err != nil {
		t.Fatal(err)
	}
	b.NotedBy(time.Now, func() string { return "" })
	b.KeepBackups(filepath.Join(t.TempDir(), "copies"))
	if _, err = b.Append(testReading("lagoon", "nitrate", now, "5", 5)); !errors.Is(err, ErrDamaged) ||
		!strings.Contains(err.Error(), "salvage") {
		t.Errorf("a damaged book is written to: %v", err)
	}
	if after, err := os.ReadFile(b.Path()); err != nil || string(after) != string(data) {
		t.Errorf("the damaged book was changed (%v)", err)
	}
}

// Those who begin a day together make one copy.
func TestBackupOnceForAll(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"})
	folder := filepath.Join(t.TempDir(), "copies")
	var all sync.WaitGroup
	for i := range 6 {
		other := newBook(b.Path())
		other.NotedBy(func() time.Time { return time.Now().Add(time.Duration(i) * time.Second) }, func() string { return "" })
		other.KeepBackups(folder)
		all.Go(func() { mustAppend(t, other, testReading("lagoon", "nitrate", time.Now(), "4", 4)) })
	}
	all.Wait()
	if made := Backups(folder, b.Path(), time.Now().Add(time.Hour)); len(made) != 1 {
		t.Errorf("%d copies for one morning: %v", len(made), made)
	}
}
