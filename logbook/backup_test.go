package logbook

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"

	bolt "go.etcd.io/bbolt"
)

func TestBackupAndRestore(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, oneOfEach()...)
	want := allRecords(t, b)
	dir := t.TempDir()
	copied := filepath.Join(dir, "copy")
	if err := b.Backup(copied); err != nil {
		t.Fatal(err)
	}
	mustBeSound(t, copied)
	diff(t, "the records of the backup", allRecords(t, newBook(copied)), want)
	if info, _ := os.Stat(copied); info.Mode() != 0o600 {
		t.Errorf("the backup has mode %v", info.Mode())
	}
	if err := b.Backup(copied); !errors.Is(err, ErrExists) {
		t.Errorf("a backup over a file: %v", err)
	}
	// What stood there is kept, twice over.
	for i, name := range []string{".replaced", ".replaced-2"} {
		mustAppend(t, b, Tank{Name: "later"})
		before := allRecords(t, b)
		stamp, _ := b.Stamp()
		kept, err := Restore(copied, b.Path())
		if err != nil || kept != b.Path()+name {
			t.Fatal(kept, err)
		}
		diff(t, "the restored records", allRecords(t, b), want)
		diff(t, "the records of what was replaced", allRecords(t, newBook(b.Path()+name)), before)
		if after, _ := b.Stamp(); after == stamp {
			t.Error("restoring did not change the stamp")
		}
		if files, _ := os.ReadDir(filepath.Dir(b.Path())); len(files) != 2+i {
			t.Errorf("files left: %v", files)
		}
	}
	elsewhere := filepath.Join(dir, "new place")
	if kept, err := Restore(copied, elsewhere); kept != "" || err != nil {
		t.Fatal(kept, err)
	}
	diff(t, "the records in a new place", allRecords(t, newBook(elsewhere)), want)
	if files, _ := os.ReadDir(dir); len(files) != 2 {
		t.Errorf("files left: %v", files)
	}
}

// A damaged copy takes nobody's place; a damaged book can be replaced.
// TestRestoreKeepsTheOwner: who restores as root, or shares a book with a group, does not take it from the others.
func TestRestoreKeepsTheOwner(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("needs root, who alone gives files away")
	}
	b := testBook(t)
	copied := filepath.Join(t.TempDir(), "copy")
	if err := b.Backup(copied); err != nil {
		t.Fatal(err)
	}
	want := [2]int{12345, 23456}
	if err := errors.Join(os.Chown(b.Path(), want[0], want[1]), os.Chmod(b.Path(), 0o640)); err != nil {
		t.Fatal(err)
	}
	if _, err := Restore(copied, b.Path()); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(b.Path())
	if err != nil || owner(info) != want || info.Mode() != 0o640 {
		t.Errorf("restored as %v of %v, %v", info.Mode(), owner(info), err)
	}
}

func TestRestoreAndDamage(t *testing.T) {
	b := damageBook(t)
	whole, _ := os.ReadFile(b.Path())
	damaged := bytes.Clone(whole)
	damaged[bytes.Index(damaged, []byte("long long"))] ^= 1
	dir := t.TempDir()
	bad := filepath.Join(dir, "bad")
	writeFile(t, bad, damaged)
	stamp, _ := b.Stamp()
	if _, err := Restore(bad, b.Path()); !errors.Is(err, ErrDamaged) {
		t.Errorf("restoring a damaged copy: %v", err)
	}
	if err := newBook(bad).Backup(filepath.Join(dir, "backup")); !errors.Is(err, ErrDamaged) {
		t.Errorf("backing up a damaged book: %v", err)
	}
	if after, _ := b.Stamp(); after != stamp {
		t.Error("the book changed")
	}
	for name, data := range map[string][]byte{"flipped": damaged, "cut": whole[:len(whole)/2], "empty": nil,
		"text": []byte("x")} {
		path := filepath.Join(dir, name)
		writeFile(t, path, data)
		if _, err := Restore(b.Path(), path); err != nil {
			t.Errorf("restoring over a %s file: %v", name, err)
		}
		mustBeSound(t, path)
		if kept, _ := os.ReadFile(path + ".replaced"); !bytes.Equal(kept, data) {
			t.Errorf("the %s file was not kept", name)
		}
	}
}

// A backup of a book that lost a head page is whole again.
func TestBackupHealsAHeadPage(t *testing.T) {
	b := damageBook(t)
	whole, _ := os.ReadFile(b.Path())
	clear(whole[:4096])
	path := filepath.Join(t.TempDir(), "book")
	writeFile(t, path, whole)
	if _, err := newBook(path).Append(Tank{Name: "x"}); !errors.Is(err, ErrDamaged) ||
		!strings.Contains(err.Error(), "head page 0") {
		t.Errorf("appending: %v", err)
	}
	if err := newBook(path).Backup(path + "-backup"); err != nil {
		t.Fatal(err)
	}
	mustBeSound(t, path+"-backup")
}

func TestFullDiskIsSaidClearly(t *testing.T) {
	if _, err := os.Stat("/dev/full"); err != nil {
		t.Skip("this system has no /dev/full to write to")
	}
	b := testBook(t)
	mustView(t, b, func(v *View) error {
		full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		defer full.Close()
		err = explain("reef.leadline", writeCopy(v.tx, full))
		if !errors.Is(err, syscall.ENOSPC) || !strings.Contains(err.Error(), "disk is full and nothing was written") {
			t.Errorf("got %v", err)
		}
		return nil
	})
}

// testdata/books holds a book of every layout that was released, and what the program of then exported of it. This
// program reads them all, and they say the same.
func TestBooksOfOldLayouts(t *testing.T) {
	for name, records := range map[string]int{"layout-1.leadline": 27, "layout-1-tanks.leadline": 21} {
		data, err := os.ReadFile(filepath.Join("..", "testdata", "books", name))
		if err != nil {
			t.Fatal(err)
		}
		said, err := os.ReadFile(filepath.Join("..", "testdata", "books", strings.TrimSuffix(name, "leadline")+"jsonl"))
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(t.TempDir(), name)
		writeFile(t, path, data)
		b, err := Open(path)
		if err != nil {
			t.Fatal(err)
		}
		mustBeSound(t, path)
		all := allRecords(t, b)
		if len(all) != records {
			t.Errorf("%s: %d records, want %d", name, len(all), records)
		}
		// Its entries still have the IDs that what they say gives them: imports stay idempotent over the versions.
		var entries []Record
		for _, rec := range all {
			if e, ok := rec.(Entry); ok && !isDerived(e, appendContent(nil, e)) && name == "layout-1.leadline" {
				t.Errorf("%s: the ID of %v is no longer derived from it", name, e)
			} else if ok {
				entries = append(entries, withID(e, ID{}))
			}
		}
		if done := mustImport(t, b, entries...); done.Added != 0 {
			t.Errorf("%s: importing its entries again added %d", name, done.Added)
		}
		diff(t, name+": what it holds", heldLines(t, b), string(said))
		// Its export of then turns nothing back that was noted since, fills an empty book, and two copies note the same.
		again := filepath.Join(t.TempDir(), name)
		writeFile(t, again, data)
		twin, err := Open(again)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := exportJSONL(t, twin, ExportOptions{}), exportJSONL(t, b, ExportOptions{}); !bytes.Equal(got, want) {
			t.Errorf("%s: two copies became\n%s\nand\n%s", name, got, want)
		}
		mustAppend(t, b, Tank{Name: "forereef", VolumeL: 77})
		now := heldLines(t, b)
		done := importJSONL(t, b, said)
		if done.Added != 0 || len(done.Overruled) != 1 || done.Overruled[0].Name() != "tank forereef" {
			t.Errorf("%s: its own export of then: %+v", name, done)
		}
		diff(t, name+": after that", heldLines(t, b), now)
		filled := testBook(t)
		importJSONL(t, filled, said)
		diff(t, name+": a book filled from its export", heldLines(t, filled), string(said))
	}
}

// asLayout1 puts definitions into a book as layout 1 had them, and opens it.
func asLayout1(t *testing.T, b *Book, defs ...Record) {
	t.Helper()
	err := b.update(task{}, func(w *writer) bool {
		for _, def := range defs {
			key, value := appendDefinition(def)
			put(definitionBucket(w.tx, def.Kind()), key, value)
		}
		fail(w.tx.DeleteBucket([]byte(changesName)))
		return true
	})
	if err != nil {
		t.Fatal(err)
	}
	setSchema(t, b.Path(), 1)
	if _, err := Open(b.Path()); err != nil {
		t.Fatal(err)
	}
}

// The machinery of migrations, shown on a layout that comes after this one.
func TestMigration(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, oneOfEach()...)
	want := allRecords(t, b)
	ran := 0
	next := step{from: schema, does: "gives every lagoon a volume", run: func(tx *bolt.Tx) error {
		ran++
		key, value := appendDefinition(Tank{Name: "lagoon", VolumeL: 99})
		put(tanksBucket(tx), key, value)
		return nil
	}}
	failing := step{from: schema + 1, does: "fails", run: func(tx *bolt.Tx) error { return errors.New("not so") }}

	stamp, _ := b.Stamp()
	err := b.migrate([]step{next, failing}, schema+2)
	if err == nil || !strings.Contains(err.Error(), "from layout 3 to 4 (fails): not so") {
		t.Errorf("a step that fails: %v", err)
	}
	if after, _ := b.Stamp(); after != stamp {
		t.Error("a migration that failed changed the book")
	}
	if err := b.migrate([]step{next}, schema+3); err == nil || !strings.Contains(err.Error(), "layout 3 to 5") {
		t.Errorf("a gap in the steps: %v", err)
	}
	if err := b.migrate([]step{next}, schema+1); err != nil {
		t.Fatal(err)
	}
	if number, err := b.schemaNumber(); err != nil || number != schema+1 || ran != 3 {
		t.Errorf("layout %d after %d runs: %v", number, ran, err)
	}
	if err := b.migrate([]step{next}, schema+1); err != nil || ran != 3 {
		t.Errorf("a book that is up to date: %v, %d runs", err, ran)
	}
	if _, err := Open(b.Path()); !errors.Is(err, ErrNewer) {
		t.Errorf("opening it with this program: %v", err)
	}
	diff(t, "the copy made before", allRecords(t, newBook(b.Path()+".layout-2")), want)
	setSchema(t, b.Path(), schema)
	mustView(t, b, func(v *View) error {
		tank, err := v.Tank("lagoon")
		if tank.VolumeL != 99 {
			t.Error("the step did not run")
		}
		return err
	})
	// An older book that no step is known for is refused and left alone.
	setSchema(t, b.Path(), 0)
	if _, err := Open(b.Path()); err == nil || !strings.Contains(err.Error(), "layout 0 to 2") {
		t.Errorf("an older book: %v", err)
	}
	setSchema(t, b.Path(), schema)
}

// Where a file system knows no links, what stood there is copied before it is replaced: a restore that is broken off
// then leaves the book where it was.
func TestRestoreWithoutLinks(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, oneOfEach()...)
	want := allRecords(t, b)
	noLinks := func(string, string) error { return syscall.EPERM }
	part, err := b.copyFor(b.Path())
	if err != nil {
		t.Fatal(err)
	}
	kept, err := replace(part, noLinks)
	if err != nil {
		t.Fatal(err)
	}
	part.Drop()
	mustBeSound(t, kept)
	diff(t, "the records of what was kept", allRecords(t, newBook(kept)), want)
	if part, err = b.copyFor(b.Path()); err != nil {
		t.Fatal(err)
	}
	part.Drop() // as if the disk lost it
	if _, err := replace(part, noLinks); err == nil {
		t.Error("nothing took the place, and no error")
	}
	diff(t, "the records of a book that could not be replaced", allRecords(t, b), want)
}

// What a kill left in the folder is removed by whoever opens a book there; a file in the making of another run, which
// lives, and a file of another program stay.
func TestPartsOfAKill(t *testing.T) {
	b := testBook(t)
	folder := filepath.Dir(b.Path())
	var left []string
	for _, name := range []string{".reef.leadline.part-1", ".reef.leadline.leadline.part-2", ".old.book.leadline.part-3",
		".calcium.csv.leadline.part-4"} {
		left = append(left, filepath.Join(folder, name))
		writeFile(t, left[len(left)-1], []byte("half"))
	}
	other := filepath.Join(folder, ".film.part-5")
	writeFile(t, other, []byte("half"))
	living, err := NewPart(filepath.Join(folder, "living.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer living.Drop()
	if _, err := Open(b.Path()); err != nil {
		t.Fatal(err)
	}
	for _, path := range left {
		if _, err := os.Stat(path); err == nil {
			t.Errorf("%s was left", path)
		}
	}
	for _, path := range []string{other, living.Name()} {
		if _, err := os.Stat(path); err != nil {
			t.Errorf("removed: %v", err)
		}
	}
}

// A whole copy beside a book that is gone is named, and no new book takes its place; an empty one in the making is no
// matter.
func TestMissingBookIsNamed(t *testing.T) {
	b := testBook(t)
	place := filepath.Join(t.TempDir(), "reef.leadline")
	part := filepath.Join(filepath.Dir(place), ".reef.leadline.leadline.part-7")
	for _, c := range []struct {
		recs []Record
		hint string
	}{{nil, ""}, {[]Record{Tank{Name: "lagoon"}}, "`leadline restore \"" + part + "\"` puts it back"}} {
		mustAppend(t, b, c.recs...)
		whole, _ := os.ReadFile(b.Path())
		writeFile(t, part, whole)
		_, err := Open(place)
		if !errors.Is(err, ErrNotFound) || !strings.Contains(err.Error(), c.hint) ||
			c.hint == "" && strings.Contains(err.Error(), "hint") {
			t.Errorf("opening: %v", err)
		}
		if c.hint == "" {
			continue
		}
		if _, err := OpenOrCreate(place); !errors.Is(err, ErrNotFound) || !strings.Contains(err.Error(), c.hint) {
			t.Errorf("creating: %v", err)
		}
	}
	if _, err := Restore(part, place); err != nil {
		t.Fatal(err)
	}
	mustBeSound(t, place)
}

// Starts of one book at the same time, each of which clears the folder, come to one book.
func TestCreateAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book")
	var group sync.WaitGroup
	for range 12 {
		group.Go(func() {
			if _, err := OpenOrCreate(path); err != nil {
				t.Error(err)
			}
		})
	}
	group.Wait()
	mustBeSound(t, path)
	if files, _ := os.ReadDir(filepath.Dir(path)); len(files) != 1 {
		t.Errorf("files left: %v", files)
	}
}

// A book is known by either of its head pages.
func TestBeginsLikeBook(t *testing.T) {
	b := testBook(t)
	whole, _ := os.ReadFile(b.Path())
	headless := bytes.Clone(whole)
	clear(headless[:os.Getpagesize()])
	for name, c := range map[string]struct {
		data []byte
		want bool
	}{"whole": {whole, true}, "without its first head page": {headless, true}, "cut": {whole[:100], true},
		"empty": {nil, false}, "text": {[]byte("time,tank\n"), false},
		"long text": {bytes.Repeat([]byte("time,tank\n"), 5000), false}} {
		path := filepath.Join(t.TempDir(), "file")
		writeFile(t, path, c.data)
		if got, err := BeginsLikeBook(path); got != c.want || err != nil {
			t.Errorf("%s: %v %v", name, got, err)
		}
	}
}
