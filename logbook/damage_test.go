package logbook

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
)

var mutations = flag.Int("mutations", 200, "how many damaged books TestDamagedBooks tries")

// childEnv says what a child process of these tests is to do; TestChild does it.
const childEnv = "LOGBOOK_TEST_CHILD"

func child(t *testing.T, task string, args ...string) *exec.Cmd {
	t.Helper()
	cmd := exec.Command(os.Args[0], "-test.run=^TestChild$")
	all, err := json.Marshal(append([]string{task}, args...))
	if err != nil {
		t.Fatal(err)
	}
	cmd.Env = append(os.Environ(), childEnv+"="+string(all))
	return cmd
}

func TestChild(t *testing.T) {
	var task []string
	if os.Getenv(childEnv) == "" {
		t.Skip("only of use as a child of other tests")
	}
	if err := json.Unmarshal([]byte(os.Getenv(childEnv)), &task); err != nil {
		t.Fatal(err)
	}
	switch task[0] {
	case "look":
		for _, path := range task[1:] {
			fmt.Println(lookAt(path))
		}
	case "add":
		addForEver(task[1], task[2])
	case "import":
		importForEver(task[1], task[2])
	case "merge":
		mergeForEver(task[1], task[2])
	case "rename":
		renameForEver(task[1], task[2])
	case "append":
		_, err := newBook(task[1]).Append(testReading("lagoon", "nitrate", testTime(0, 0), "4", 4))
		fmt.Println(err)
	}
}

// looked is what became of one damaged book, as one line of JSON.
type looked struct {
	Path     string
	Opened   string // the error of Open, or ""
	Problems []string
	Read     string // the error of reading all
	Records  uint32 // a checksum over all records
	Appended string // the error of appending
	After    uint32 // the checksum without what was appended
	Touched  bool   // the file changed though the appending failed
}

func lookAt(path string) string {
	l := looked{Path: path}
	before, _ := os.ReadFile(path)
	text := func(err error) string {
		if err == nil {
			return ""
		}
		return err.Error()
	}
	b, err := Open(path)
	l.Opened = text(err)
	if b == nil {
		b = newBook(path)
	}
	f, err := Verify(path)
	l.Problems = f.Problems
	if err != nil {
		l.Problems = append(l.Problems, err.Error())
	}
	l.Records, err = recordSum(b)
	l.Read = text(err)
	_, err = b.Append(Event{Time: testTime(1000, 0), Tank: "lagoon", Tags: []string{"added"}})
	l.Appended = text(err)
	if err != nil {
		after, _ := os.ReadFile(path)
		l.Touched = !bytes.Equal(before, after)
	} else {
		l.After, err = recordSum(b)
		if err != nil {
			l.Appended = "afterwards: " + err.Error()
		}
	}
	line, _ := json.Marshal(l)
	return string(line)
}

// recordSum is a checksum over all records but the one that lookAt appends.
func recordSum(b *Book) (sum uint32, err error) {
	err = b.View(func(v *View) error {
		return v.EachRecord(func(rec Record) error {
			if e, ok := rec.(Event); ok && len(e.Tags) == 1 && e.Tags[0] == "added" {
				return nil
			}
			text, err := json.Marshal(rec)
			sum = checksum(binary.BigEndian.AppendUint32(nil, sum), text)
			return err
		})
	})
	return sum, err
}

// damageBook is a book with a past: several commits, free pages, branches, long notes, strikes.
func damageBook(t *testing.T) *Book {
	b := testBook(t)
	ids := mustAppend(t, b, oneOfEach()...)
	var recs []Record
	for i := range 2000 {
		recs = append(recs, benchReading(i, 2000))
	}
	mustImport(t, b, recs...)
	long := testReading("lagoon", "nitrate", testTime(0, 0), "4", 4)
	long.Note = strings.Repeat("long ", 4000)
	mustAppend(t, b, long)
	for i := range 10 {
		mustAppend(t, b, testReading("lagoon", "calcium", testTime(i, 0), "4", 4))
	}
	if _, err := b.Strike(Strike{Target: ids[6], Time: testTime(1, 0)}, nil); err != nil {
		t.Fatal(err)
	}
	return b
}

// mutate damages a book in one of several ways and says how.
func mutate(random *rand.Rand, whole []byte) (damaged []byte, how string) {
	const page = 4096
	data := bytes.Clone(whole)
	pages := len(data) / page
	at := func(n int) []byte { return data[n*page : (n+1)*page] }
	fill := func(b []byte) {
		for i := range b {
			b[i] = byte(random.Uint32())
		}
	}
	n, m := random.IntN(pages), random.IntN(pages)
	switch random.IntN(9) {
	case 0:
		for range 1 + random.IntN(64) {
			data[random.IntN(len(data))] ^= byte(1 + random.IntN(255))
		}
		return data, "scattered bytes"
	case 1:
		fill(at(n))
		return data, fmt.Sprintf("page %d is noise", n)
	case 2:
		clear(at(n))
		return data, fmt.Sprintf("page %d is zero", n)
	case 3:
		copy(at(n), whole[m*page:(m+1)*page])
		return data, fmt.Sprintf("page %d is a copy of page %d", n, m)
	case 4:
		return data[:random.IntN(len(data))], "cut off"
	case 5:
		fill(at(n)[:16])
		return data, fmt.Sprintf("the head of page %d is noise", n)
	case 6:
		k := random.IntN(page / 8)
		binary.NativeEndian.PutUint64(at(n)[8*k:], uint64(random.IntN(pages)))
		return data, fmt.Sprintf("a small number in page %d", n)
	case 7:
		data[random.IntN(2)*page+random.IntN(80)] ^= byte(1 + random.IntN(255))
		return data, "a byte of a head page"
	}
	// The list of free pages: where it is, both head pages may say.
	free := binary.NativeEndian.Uint64(at(random.IntN(2))[16+32:])
	if free < uint64(pages) {
		k := random.IntN(8)
		binary.NativeEndian.PutUint64(at(int(free))[16+8*k:], uint64(2+random.IntN(pages-2)))
	}
	return data, "a number in the list of free pages"
}

// Whatever is wrong with a file, nothing crashes, nothing is written to it, and it is not called sound while records
// are missing. The books are looked at in child processes, since a fault could end one.
func TestDamagedBooks(t *testing.T) {
	b := damageBook(t)
	whole, err := os.ReadFile(b.Path())
	if err != nil {
		t.Fatal(err)
	}
	sound, err := recordSum(b)
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(5, 6))
	dir := t.TempDir()
	const perChild = 25
	var outcome struct{ refused, harmless, readable int }
	for i := 0; i < *mutations; i += perChild {
		how := map[string]string{}
		var paths []string
		for j := range min(perChild, *mutations-i) {
			damaged, what := mutate(random, whole)
			path := filepath.Join(dir, fmt.Sprintf("damaged-%d", i+j))
			how[path] = fmt.Sprintf("mutation %d (%s)", i+j, what)
			paths = append(paths, path)
			if err := os.WriteFile(path, damaged, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		out, err := child(t, "look", paths...).CombinedOutput()
		if err != nil {
			t.Errorf("the child ended with %v:\n%s", err, out)
		}
		seen := 0
		for line := range strings.Lines(string(out)) {
			var l looked
			if json.Unmarshal([]byte(line), &l) != nil {
				continue
			}
			seen++
			what := how[l.Path]
			if l.Touched {
				t.Errorf("%s: the appending failed and the file changed", what)
			}
			if len(l.Problems) == 0 && (l.Opened != "" || l.Read != "" || l.Records != sound) {
				t.Errorf("%s: verify finds nothing, and opening says %q, reading %q, the records are %x, want %x", what, l.Opened,
					l.Read, l.Records, sound)
			}
			if l.Read == "" && l.Records != sound && !strings.Contains(fmt.Sprint(l.Problems), "head page") {
				t.Errorf("%s: other records are read without an error, and verify finds %q", what, l.Problems)
			}
			if l.Appended == "" && l.After != l.Records {
				t.Errorf("%s: appending changed other records", what)
			}
			if l.Appended == "" && l.Read != "" || strings.HasPrefix(l.Appended, "afterwards") {
				t.Errorf("%s: appended to a book of which reading says %q (%s)", what, l.Read, l.Appended)
			}
			for _, message := range []string{l.Opened, l.Read, l.Appended} {
				if message != "" && !strings.HasPrefix(message, l.Path+": ") {
					t.Errorf("%s: an error without the path: %s", what, message)
				}
			}
			switch {
			case l.Appended != "":
				outcome.refused++
			case len(l.Problems) == 0:
				outcome.harmless++
			default:
				outcome.readable++
			}
		}
		if seen != len(paths) {
			t.Fatalf("the child told of %d books, want %d:\n%s", seen, len(paths), out)
		}
	}
	t.Logf("%d damaged books: %d refused, %d where the damage hit no record, %d written to with findings", *mutations,
		outcome.refused, outcome.harmless, outcome.readable)
	if outcome.refused == 0 {
		t.Error("no mutation did any harm: the test is too gentle")
	}
}

// What is not a book is named as what it is, and left as it is.
func TestNotABook(t *testing.T) {
	dir := t.TempDir()
	good := damageBook(t)
	whole, _ := os.ReadFile(good.Path())
	otherDB := filepath.Join(dir, "other.db")
	db, err := bolt.Open(otherDB, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	newer := filepath.Join(dir, "newer")
	writeFile(t, newer, whole)
	setSchema(t, newer, schema+1)
	write := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		writeFile(t, path, data)
		return path
	}
	for _, c := range []struct {
		path string
		want error
		says string
	}{
		{dir, ErrNotBook, "directory"},
		{filepath.Join(dir, "nothing"), ErrNotFound, "no such file"},
		{write("empty", nil), ErrNotBook, "empty"},
		{write("short.txt", []byte("nitrate 4.2\n")), ErrNotBook, "another kind"},
		{write("long.txt", bytes.Repeat([]byte("nitrate 4.2\n"), 500)), ErrNotBook, "another kind"},
		{write("longer.txt", bytes.Repeat([]byte("nitrate 4.2\n"), 50_000)), ErrNotBook, "another kind"},
		{otherDB, ErrNotBook, "another kind"},
		{write("cut at 3000", whole[:3000]), ErrDamaged, "cut off"},
		{write("cut at 5000", whole[:5000]), ErrDamaged, "cut off"},
		{write("cut in half", whole[:len(whole)/2]), ErrDamaged, "cut off"},
		{newer, ErrNewer, "layout is number 3"},
	} {
		before, _ := os.ReadFile(c.path)
		_, openErr := Open(c.path)
		_, orCreateErr := OpenOrCreate(c.path)
		if c.want == ErrNotFound {
			os.Remove(c.path)
			orCreateErr = openErr
		}
		_, appendErr := newBook(c.path).Append(Tank{Name: "x"})
		_, importErr := newBook(c.path).Import([]Record{Tank{Name: "x"}})
		viewErr := newBook(c.path).View(func(v *View) error { _, err := v.Tanks(); return err })
		backupErr := newBook(c.path).Backup(filepath.Join(dir, "backup"))
		for what, err := range map[string]error{"open": openErr, "open or create": orCreateErr, "append": appendErr,
			"import": importErr, "view": viewErr, "backup": backupErr} {
			if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.says) ||
				!strings.HasPrefix(err.Error(), c.path+": ") {
				t.Errorf("%s of %s: %v, want %v saying %q", what, filepath.Base(c.path), err, c.want, c.says)
			}
		}
		if after, _ := os.ReadFile(c.path); !bytes.Equal(before, after) {
			t.Errorf("%s was changed", c.path)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "backup")); err == nil {
		t.Error("a failed backup left a file")
	}
}

func writeFile(t *testing.T, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
}

func setSchema(t *testing.T, path string, number int) {
	t.Helper()
	db, err := bolt.Open(path, 0o600, &bolt.Options{Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	err = db.Update(func(tx *bolt.Tx) error {
		putSchema(tx, number)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A book that was found damaged is not written to in that run, and one that was put right is.
func TestDamagedBookIsNotTriedAgain(t *testing.T) {
	b := damageBook(t)
	whole, _ := os.ReadFile(b.Path())
	damaged := bytes.Clone(whole)
	i := bytes.Index(damaged, []byte("long long"))
	damaged[i] ^= 1
	path := filepath.Join(t.TempDir(), "book")
	writeFile(t, path, damaged)
	book := newBook(path)
	for range 2 {
		if _, err := book.Append(Tank{Name: "x"}); !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "checksum") {
			t.Errorf("got %v", err)
		}
	}
	writeFile(t, path, whole)
	if _, err := book.Append(Tank{Name: "x"}); err != nil {
		t.Errorf("the book was put right: %v", err)
	}
}

// pages.go finds what bbolt does not: a page that is in use and in the list of free ones.
func TestFreePageInUse(t *testing.T) {
	b := damageBook(t)
	whole, _ := os.ReadFile(b.Path())
	s, err := b.open(false, 0)
	if err != nil {
		t.Fatal(err)
	}
	commit := uint64(s.tx.ID())
	root := uint64(entryBucket(s.tx, KindReading).Root())
	pageSize := s.db.Info().PageSize
	if err := s.close(); err != nil {
		t.Fatal(err)
	}
	for _, deep := range []bool{true, false} {
		if c := checkPages(bytes.NewReader(whole), pageSize, commit, deep); len(c.problems)+len(c.wrong) > 0 {
			t.Errorf("a sound book: %v %v", c.problems, c.wrong)
		}
	}
	m := whole[int(commit%2)*pageSize+16:]
	list := whole[int(binary.NativeEndian.Uint64(m[32:]))*pageSize+16:]
	binary.NativeEndian.PutUint64(list, root)
	for _, deep := range []bool{true, false} {
		want := fmt.Sprintf("page %d is in use and in the list of free pages", root)
		if problems := checkPages(bytes.NewReader(whole), pageSize, commit,
			deep).problems; !strings.Contains(fmt.Sprint(problems), want) {
			t.Errorf("deep %v: %v", deep, problems)
		}
	}
}

// In a book too large to be read through at every start, a leaf is looked at before anything is read from it or written
// to it: the answer is that of the whole book, or it is refused, and what is damaged is not written anew.
func TestLargeDamagedBooks(t *testing.T) {
	const n, page = 70_000, 4096
	b := benchBook(t, n)
	last := benchReading(n-1, n).Time
	whole, err := os.ReadFile(b.Path())
	if err != nil || len(whole) <= smallBook {
		t.Fatalf("a book of %d bytes: %v", len(whole), err)
	}
	answer := func(b *Book) (text string, err error) {
		err = b.View(func(v *View) error {
			window, err := v.Readings("lagoon", "nitrate", last.Add(-900*time.Hour), time.Time{})
			if err != nil {
				return err
			}
			before, err := v.LastReadings("lagoon", "nitrate", last.Add(-2000*time.Hour), 50)
			if err != nil {
				return err
			}
			thinned, _, err := v.Thinned("lagoon", "nitrate", time.Time{}, time.Time{}, 40,
				[]Tier{{Width: 24 * time.Hour, Crowd: 3}})
			text = fmt.Sprint(window, before, thinned)
			return err
		})
		return text, err
	}
	want, err := answer(b)
	if err != nil {
		t.Fatal(err)
	}
	var prefix []byte // of the keys of the series
	mustView(t, b, func(v *View) error {
		return v.inSeries("lagoon", "nitrate", func(s series) {
			prefix = binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, s.tank), s.subject)
		})
	})
	var leaves []int // where those of the series begin
	for at := 2 * page; at < len(whole); at += page {
		if binary.NativeEndian.Uint16(whole[at+8:]) == leafKind && bytes.Contains(whole[at:at+page], prefix) {
			leaves = append(leaves, at)
		}
	}
	random := rand.New(rand.NewPCG(3, 4))
	path := filepath.Join(t.TempDir(), "book")
	refused := 0
	for range *mutations / 4 {
		damaged := bytes.Clone(whole)
		at := leaves[random.IntN(len(leaves))]
		how := "fewer elements"
		switch random.IntN(4) {
		case 0:
			damaged[at+10] -= byte(1 + random.IntN(10))
		case 1:
			how = "a flipped bit"
			damaged[at+16+random.IntN(2000)] ^= 1 << random.IntN(8)
		case 2:
			how = "a zeroed sector"
			clear(damaged[at+512*random.IntN(8):][:512])
		case 3:
			how = "the content of another leaf"
			other := leaves[random.IntN(len(leaves))]
			copy(damaged[at+8:at+page], whole[other+8:other+page])
		}
		writeFile(t, path, damaged)
		got, err := answer(newBook(path))
		switch {
		case err == nil && got != want:
			t.Errorf("%s in page %d: another answer", how, at/page)
		case err != nil && !errors.Is(err, ErrDamaged):
			t.Errorf("%s in page %d: %v", how, at/page, err)
		case err != nil:
			refused++
		}
	}
	if refused == 0 {
		t.Error("nothing was refused: the test is too gentle")
	}

	// An old leaf with the first key of the new one does not show at a look; where all is read it does.
	mustAppend(t, b, testReading("lagoon", "nitrate", last.Add(time.Hour), "4", 4))
	old, _ := os.ReadFile(b.Path())
	mustAppend(t, b, testReading("lagoon", "phosphate", last.Add(time.Hour), "4", 4))
	mustAppend(t, b, testReading("lagoon", "nitrate", last.Add(2*time.Hour), "4", 4))
	damaged, _ := os.ReadFile(b.Path())
	stale := 0
	for at := 2 * page; at+page <= len(old); at += page {
		isLeaf := binary.NativeEndian.Uint16(old[at+8:]) == leafKind && binary.NativeEndian.Uint16(damaged[at+8:]) == leafKind
		if isLeaf && !bytes.Equal(old[at:at+page], damaged[at:at+page]) && bytes.Contains(damaged[at:at+page], prefix) {
			copy(damaged[at:at+page], old[at:])
			stale++
		}
	}
	writeFile(t, path, damaged)
	if _, err := recordSum(newBook(path)); stale == 0 || !errors.Is(err, ErrDamaged) {
		t.Errorf("all records, with %d old leaves: %v", stale, err)
	}

	damaged = bytes.Clone(whole)
	text := []byte(benchReading(n-8, n).Text) // the last of the series
	damaged[bytes.LastIndex(damaged[:leaves[len(leaves)-1]+page], text)] ^= 1
	writeFile(t, path, damaged)
	if _, err := newBook(path).Append(testReading("lagoon", "nitrate", last.Add(time.Hour), "4", 4)); !errors.Is(err,
		ErrDamaged) {
		t.Errorf("appending beside a damaged reading: %v", err)
	}
	if after, _ := os.ReadFile(path); !bytes.Equal(after, damaged) {
		t.Error("what is damaged was written anew")
	}
}

// Walks end where a flipped bit leads them back, even where the pages were not looked at before.
func TestWalksEnd(t *testing.T) {
	b := damageBook(t)
	s, err := b.open(false, 0)
	if err != nil {
		t.Fatal(err)
	}
	root := int(entryBucket(s.tx, KindReading).Root()) * s.db.Info().PageSize
	if err := s.close(); err != nil {
		t.Fatal(err)
	}
	whole, _ := os.ReadFile(b.Path())
	keys := root + pageHead + 16*int(binary.NativeEndian.Uint16(whole[root+10:]))
	path := filepath.Join(t.TempDir(), "book")
	damaged := 0
	for at := keys; at < keys+20*len(seriesKey{}); at++ {
		data := bytes.Clone(whole)
		data[at] ^= 1 << (at % 8)
		writeFile(t, path, data)
		s, err := newBook(path).open(false, 0)
		if err != nil {
			t.Fatal(err)
		}
		v := newBook(path).view(s, nil)
		err = guarded(func() {
			for _, r := range v.eachSeries(KindReading, 0) {
				v.entryCursor(KindReading).count(r, 0, math.MaxInt64-1, math.MaxInt)
			}
		})
		if errors.Is(err, ErrDamaged) {
			damaged++
		}
		s.close()
	}
	if damaged == 0 {
		t.Error("no flipped bit led a walk back: the test is too gentle")
	}
}

// An old head page is told from the heads of a sound book: those of commits that follow each other, and those of a copy
// that was written to once. What is left of it can still be copied.
func TestOldHeadPage(t *testing.T) {
	b := testBook(t)
	var states [][]byte
	for i := range 6 {
		mustAppend(t, b, Tank{Name: fmt.Sprint("tank ", i)})
		state, _ := os.ReadFile(b.Path())
		states = append(states, state)
		copied := b.Path() + fmt.Sprint("-copy-", i)
		if err := b.Backup(copied); err != nil {
			t.Fatal(err)
		}
		for j := range 3 {
			mustAppend(t, newBook(copied), Tank{Name: fmt.Sprint("later ", j)})
			mustBeSound(t, copied)
		}
	}
	const page = 4096
	newest := 0
	if headCommit(states[5], 1) > headCommit(states[5], 0) {
		newest = 1
	}
	for old := range 3 {
		damaged := bytes.Clone(states[5])
		copy(damaged[newest*page:(newest+1)*page], states[old][newest*page:])
		path := filepath.Join(t.TempDir(), "book")
		writeFile(t, path, damaged)
		_, err := Open(path)
		if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "the last writing may be missing") {
			t.Errorf("a head page of %d commits before: %v", 5-old, err)
		}
		if err := newBook(path).Backup(path + "-copy"); err != nil {
			t.Fatal(err)
		}
		mustBeSound(t, path+"-copy")
	}
}

func headCommit(book []byte, place int) uint64 {
	return binary.NativeEndian.Uint64(book[place*4096+pageHead+48:])
}

// A program that does not know the sum of checksums writes to a book and leaves it sound; the next writing begins the
// sum anew, and from then on an old root page shows, whose small buckets are those of an earlier commit.
func TestSumIsBegunAnew(t *testing.T) {
	b := testBook(t)
	band := func(low float64) {
		mustAppend(t, b, Tank{Name: "lagoon", Bands: map[string]Band{"nitrate": {Low: &low}}})
	}
	for i := range 4 {
		band(float64(i))
	}
	db, err := bolt.Open(b.Path(), 0o600, &bolt.Options{Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	err = db.Update(func(tx *bolt.Tx) error {
		key, value := appendDefinition(Tank{Name: "forereef"})
		counted(tanksBucket(tx), 1)
		return tanksBucket(tx).Put(key, seal(key, value))
	})
	if err := errors.Join(err, db.Close()); err != nil {
		t.Fatal(err)
	}
	mustBeSound(t, b.Path())
	var states [][]byte
	for i := range 8 {
		band(10 + float64(i))
		mustBeSound(t, b.Path())
		state, _ := os.ReadFile(b.Path())
		states = append(states, state)
	}
	last := states[len(states)-1]
	tried := 0
	for _, state := range states[:len(states)-1] {
		for at := 2 * 4096; at+4096 <= min(len(state), len(last)); at += 4096 {
			damaged := bytes.Clone(last)
			copy(damaged[at:at+4096], state[at:])
			if bytes.Equal(damaged, last) {
				continue
			}
			tried++
			path := filepath.Join(t.TempDir(), "book")
			writeFile(t, path, damaged)
			err := newBook(path).View(func(v *View) error {
				tank, err := v.Tank("lagoon")
				if err == nil && *tank.Bands["nitrate"].Low != 17 {
					t.Errorf("with an old page %d the band begins at %v", at/4096, *tank.Bands["nitrate"].Low)
				}
				return err
			})
			if err != nil && !errors.Is(err, ErrDamaged) {
				t.Error(err)
			}
		}
	}
	if tried == 0 {
		t.Error("no page was ever written anew")
	}
}

// A page number that leads before the beginning of the file is read as one behind its end: damage, not a fault of the
// system.
func TestPageBeforeTheFile(t *testing.T) {
	c := &pageCheck{file: bytes.NewReader(make([]byte, 100))}
	if err := c.readAt(make([]byte, 8), -4096); err != io.EOF || c.failed != nil {
		t.Errorf("got %v, %v", err, c.failed)
	}
}
