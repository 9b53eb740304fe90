package logbook

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	bolt "go.etcd.io/bbolt"

	"leadline/logbook/water"
)

// testBook makes a book in a temporary folder and looks it through at the end of the test, with bbolt's own check too.
func testBook(t testing.TB) *Book {
	t.Helper()
	b, err := Create(filepath.Join(t.TempDir(), "books", "reef.leadline"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { mustBeSound(t, b.Path()) })
	return b
}

func mustBeSound(t testing.TB, path string) {
	t.Helper()
	f, err := Verify(path)
	if err != nil {
		t.Errorf("verify: %v", err)
	}
	for _, problem := range f.Problems {
		t.Errorf("verify found: %s", problem)
	}
	db, err := bolt.Open(path, 0o600, &bolt.Options{Timeout: wait, ReadOnly: true, PreLoadFreelist: true})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	err = db.View(func(tx *bolt.Tx) error {
		for problem := range tx.Check() {
			t.Errorf("bbolt's check found: %v", problem)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

func testTime(day, minute int) time.Time {
	return time.Date(2026, 3, 1, 9, 10, 0, 0, time.FixedZone("", 13*3600)).AddDate(0, 0,
		day).Add(time.Duration(minute) * time.Minute)
}

func testReading(tank, parameter string, when time.Time, text string, value float64) Reading {
	return Reading{Time: when, Tank: tank, Parameter: parameter, Text: text, Unit: "mg/L", Value: value, Method: "card"}
}

func mustAppend(t testing.TB, b *Book, recs ...Record) []ID {
	t.Helper()
	ids, err := b.Append(recs...)
	if err != nil {
		t.Fatal(err)
	}
	return ids
}

func mustView(t testing.TB, b *Book, fn func(v *View) error) {
	t.Helper()
	if err := b.View(fn); err != nil {
		t.Fatal(err)
	}
}

// allReadings gives the readings of the book in the order of an export.
func allReadings(t testing.TB, b *Book) (all []Reading) {
	t.Helper()
	mustView(t, b, func(v *View) error {
		return v.EachReading(func(r Reading) error {
			all = append(all, r)
			return nil
		})
	})
	return all
}

func allRecords(t testing.TB, b *Book) (all []Record) {
	t.Helper()
	mustView(t, b, func(v *View) error {
		return v.EachRecord(func(rec Record) error {
			all = append(all, rec)
			return nil
		})
	})
	return all
}

// holding are the records of a book with what its definitions are now in place of what was noted of them.
func holding(t testing.TB, b *Book) (all []Record) {
	t.Helper()
	mustView(t, b, func(v *View) error {
		for _, d := range definitions() {
			all = append(all, v.definitionsOf(d.Kind(), "")...)
		}
		return nil
	})
	return append(all, slices.DeleteFunc(allRecords(t, b), func(rec Record) bool { return definitionIn(rec) != nil })...)
}

func heldLines(t testing.TB, b *Book) string {
	t.Helper()
	var lines strings.Builder
	for _, rec := range holding(t, b) {
		lines.WriteString(lineOf(rec) + "\n")
	}
	return lines.String()
}

func TestBookIsPrivate(t *testing.T) {
	b := testBook(t)
	for path, want := range map[string]os.FileMode{b.Path(): 0o600, filepath.Dir(b.Path()): 0o700 | os.ModeDir} {
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode() != want {
			t.Errorf("%s has mode %v, want %v", path, info.Mode(), want)
		}
	}
	names, _ := os.ReadDir(filepath.Dir(b.Path()))
	if len(names) != 1 {
		t.Errorf("creating a book left %d files, want 1: %v", len(names), names)
	}
}

func TestCreateLeavesWhatIsThere(t *testing.T) {
	b := testBook(t)
	before, _ := b.Stamp()
	if _, err := Create(b.Path()); !errors.Is(err, ErrExists) {
		t.Errorf("Create over a book: %v, want ErrExists", err)
	}
	if after, _ := b.Stamp(); after != before {
		t.Error("Create over a book changed it")
	}
	if _, err := OpenOrCreate(b.Path()); err != nil {
		t.Error(err)
	}
}

// The failure of a creation leaves no file behind.
func TestFailedCreationLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	blocked := filepath.Join(dir, "file")
	if err := os.WriteFile(blocked, []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Create(filepath.Join(blocked, "book")); err == nil {
		t.Error("a book was created below a file")
	}
	names, _ := os.ReadDir(dir)
	if len(names) != 1 {
		t.Errorf("a failed creation left %v", names)
	}
}

func TestStampChangesWithEveryCommit(t *testing.T) {
	b := testBook(t)
	seen := map[Stamp]int{}
	for i := range 50 {
		s, err := b.Stamp()
		if err != nil {
			t.Fatal(err)
		}
		if j, ok := seen[s]; ok {
			t.Fatalf("the stamp after %d commits is that after %d", i, j)
		}
		seen[s] = i
		mustAppend(t, b, Tank{Name: fmt.Sprint("tank ", i)})
		before, _ := b.Stamp()
		mustView(t, b, func(v *View) error { _, err := v.Tanks(); return err })
		if after, _ := b.Stamp(); after != before {
			t.Error("looking changed the stamp")
		}
	}
}

func TestViewHandsBackTheCallersErrorsAndPanics(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"}, testReading("lagoon", "nitrate", testTime(0, 0), "4", 4))
	mine := errors.New("mine")
	if err := b.View(func(v *View) error { return mine }); err != mine {
		t.Errorf("got %v", err)
	}
	err := b.View(func(v *View) error { return v.EachReading(func(Reading) error { return mine }) })
	if err != mine {
		t.Errorf("got %v", err)
	}
	for name, fn := range map[string]func(v *View) error{
		"in the view": func(v *View) error { panic("my slip") },
		"in a query":  func(v *View) error { return v.EachRecord(func(Record) error { panic("my slip") }) },
	} {
		func() {
			defer func() {
				if p := recover(); p != "my slip" {
					t.Errorf("%s: the panic became %v", name, p)
				}
			}()
			_ = b.View(fn)
		}()
	}
	// The file's lock was given back all the same.
	mustAppend(t, b, Tank{Name: "forereef"})
}

func TestManyGoroutines(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"})
	other := newBook(b.Path()) // as another process would
	var wg sync.WaitGroup
	for g := range 20 {
		wg.Add(2)
		go func() {
			defer wg.Done()
			for i := range 5 {
				if _, err := b.Append(testReading("lagoon", "nitrate", testTime(g, i), "4", 4)); err != nil {
					t.Error(err)
				}
			}
		}()
		go func() {
			defer wg.Done()
			book := b
			if g%10 == 0 {
				book = other
			}
			for range 5 {
				err := book.View(func(v *View) error {
					_, err := v.Readings("lagoon", "nitrate", time.Time{}, time.Time{})
					return err
				})
				if err != nil {
					t.Error(err)
				}
			}
		}()
	}
	wg.Wait()
	if n := len(allReadings(t, b)); n != 100 {
		t.Errorf("%d readings, want 100", n)
	}
}

// A book that is held open by someone else is reported with what to do.
func TestBusyBook(t *testing.T) {
	b := testBook(t)
	entered, leave := make(chan bool), make(chan bool)
	go func() {
		_ = newBook(b.Path()).View(func(v *View) error {
			entered <- true
			<-leave
			return nil
		})
		entered <- true
	}()
	<-entered
	_, err := b.Append(Tank{Name: "lagoon"})
	if !errors.Is(err, ErrBusy) || !strings.Contains(err.Error(), b.Path()) || !strings.Contains(err.Error(), "hint: ") {
		t.Errorf("got %v", err)
	}
	if _, missing := os.Stat("/proc/locks"); missing == nil && !strings.Contains(err.Error(), fmt.Sprint(os.Getpid())) {
		t.Errorf("the message does not name this process (%d): %v", os.Getpid(), err)
	}
	// Readers do not hinder readers.
	mustView(t, b, func(v *View) error { return nil })
	leave <- true
	<-entered
	mustAppend(t, b, Tank{Name: "lagoon"})
}

// Eight writers beside readers that never all leave at once: every one comes in turn, and none is refused.
func TestWritersComeInTurn(t *testing.T) {
	const writers, each = 8, 25
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"})
	done := make(chan bool)
	var reading, writing sync.WaitGroup
	for range 3 {
		reading.Go(func() {
			for reader := newBook(b.Path()); ; {
				select {
				case <-done:
					return
				default:
				}
				if err := reader.View(func(v *View) error { time.Sleep(20 * time.Millisecond); return nil }); err != nil {
					t.Errorf("a reader: %v", err)
				}
			}
		})
	}
	slowest := make([]time.Duration, writers)
	for n := range writers {
		writing.Go(func() {
			for i := range each {
				began := time.Now()
				r := testReading("lagoon", "nitrate", testTime(n, i), "4", 4)
				if _, err := newBook(b.Path()).Append(r); err != nil {
					t.Errorf("writer %d: %v", n, err)
				}
				slowest[n] = max(slowest[n], time.Since(began))
			}
		})
	}
	writing.Wait()
	close(done)
	reading.Wait()
	if n := len(allReadings(t, b)); n != writers*each {
		t.Errorf("%d readings, want %d", n, writers*each)
	}
	t.Logf("%d writings, none waited longer than %v", writers*each, slices.Max(slowest).Round(time.Millisecond))
}

// A writer that waited for the lock of a file which was then replaced must not write into the old one.
func TestWriterFollowsAReplacedBook(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"})
	copied := filepath.Join(t.TempDir(), "copy")
	if err := b.Backup(copied); err != nil {
		t.Fatal(err)
	}
	entered, leave := make(chan bool), make(chan bool)
	go func() {
		_ = newBook(b.Path()).View(func(v *View) error {
			entered <- true
			<-leave
			return nil
		})
	}()
	<-entered
	done := make(chan error)
	go func() {
		_, err := b.Append(testReading("lagoon", "nitrate", testTime(0, 0), "4", 4))
		done <- err
	}()
	time.Sleep(100 * time.Millisecond) // so that the writer waits; the test holds without it too
	if err := os.Rename(copied, b.Path()); err != nil {
		t.Fatal(err)
	}
	leave <- true
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if n := len(allReadings(t, b)); n != 1 {
		t.Errorf("%d readings in the book that stands there now, want 1", n)
	}
}

func diff(t testing.TB, what string, got, want any) {
	t.Helper()
	if d := cmp.Diff(want, got, sameOptions()...); d != "" {
		t.Errorf("%s (-want +got):\n%s", what, d)
	}
}

// sameMoment compares times with their offsets, and keeps Z and +00:00 apart.
func sameMoment(a, b time.Time) bool {
	return a.Equal(b) && (a.IsZero() || zoneOf(a) == zoneOf(b))
}

func sameShown(a, b water.Unit) bool { return a == b }

func sameRecord(a, b any) bool {
	return cmp.Equal(a, b, sameOptions()...)
}

func sameOptions() []cmp.Option {
	return []cmp.Option{cmp.Comparer(sameMoment), cmp.Comparer(sameShown), cmpopts.IgnoreUnexported(Change{})}
}

// deadDisk gives no byte.
type deadDisk struct{}

func (deadDisk) ReadAt([]byte, int64) (int, error) {
	return 0, &fs.PathError{Op: "read", Path: "disk", Err: syscall.EIO}
}

// A disk that cannot be read says nothing of the book: nobody is told to replace it.
func TestReadErrorIsNoDamage(t *testing.T) {
	b := testBook(t)
	s, err := b.open(false, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer s.close()
	if err = checkPages(deadDisk{}, s.db.Info().PageSize, s.commit(), true).err(); !errors.Is(err, syscall.EIO) {
		t.Fatalf("got %v", err)
	}
	text := b.explain(err).Error()
	if !strings.HasPrefix(text, b.Path()+": ") || !strings.Contains(text, "input/output error") ||
		strings.Contains(text, "damaged") || strings.Contains(text, "restore") {
		t.Errorf("got %s", text)
	}
}

// A commit that fails before its head page is written leaves nothing; after it nobody knows, and it is said how to
// look.
func TestFailedCommit(t *testing.T) {
	for _, headWritten := range []bool{false, true} {
		b := newBook(filepath.Join(t.TempDir(), "book"))
		if err := writeEmptyBook(b.Path()); err != nil {
			t.Fatal(err)
		}
		s, err := b.open(true, 0)
		if err != nil {
			t.Fatal(err)
		}
		if headWritten {
			var number [8]byte
			binary.NativeEndian.PutUint64(number[:], uint64(s.tx.ID()))
			f, err := os.OpenFile(b.Path(), os.O_WRONLY, 0)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := f.WriteAt(number[:], 64); err != nil {
				t.Fatal(err)
			}
			f.Close()
		}
		s.file.Close() // every writing of the commit fails
		err = b.explain(b.commit(s.tx))
		if err == nil || errors.Is(err, ErrUnsure) != headWritten {
			t.Errorf("head page written: %v; got %v", headWritten, err)
		}
		if headWritten && (!strings.HasPrefix(err.Error(), b.Path()+": ") ||
			!strings.Contains(err.Error(), "leadline export jsonl")) {
			t.Errorf("got %v", err)
		}
	}
}
