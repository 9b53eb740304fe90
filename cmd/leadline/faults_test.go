package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"leadline/logbook"
	"leadline/testdata/server"
)

var (
	callsEach = flag.Int("calls-each", 1, "of how many calls of each kind TestCallsFail lets one after the other fail")
	powerCuts = flag.Int("power-cuts", 60, "how many power cuts TestPowerCuts simulates for each command")
)

// traced runs the program under strace, which says what it asked of the system, and may let one of it fail.
func traced(t *testing.T, book string, options, args []string) (trace, out string, err error) {
	t.Helper()
	if _, err := exec.LookPath("strace"); err != nil {
		t.Skip("needs strace")
	}
	file := filepath.Join(t.TempDir(), "trace")
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	all := slices.Concat([]string{"-f", "-qq", "-o", file}, options, []string{program(t)}, args)
	cmd := exec.CommandContext(ctx, "strace", all...)
	cmd.Env = append(os.Environ(), "LEADLINE_BOOK="+book)
	said, err := cmd.CombinedOutput()
	if ctx.Err() != nil {
		t.Fatalf("hung: %v, %v", options, args)
	}
	told, readErr := os.ReadFile(file)
	if readErr != nil || len(told) == 0 && strings.Contains(string(said), "strace: ") {
		t.Skipf("strace cannot run here: %v %s", readErr, said)
	}
	return string(told), string(said), err
}

// bookOf copies a book into a folder of its own.
func bookOf(t *testing.T, data []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "test.book")
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// held is how many lines a book holds: entries, strikes and what was set. It must be sound.
func held(t *testing.T, path string) int {
	t.Helper()
	found, err := logbook.Verify(path)
	if err != nil || len(found.Problems) > 0 {
		t.Fatalf("the book is not sound: %v %v", err, found.Problems)
	}
	book, err := logbook.Open(path)
	var all bytes.Buffer
	if err == nil {
		err = book.View(func(v *logbook.View) error { return logbook.WriteJSONL(&all, v, logbook.ExportOptions{}) })
	}
	if err != nil {
		t.Fatal(err)
	}
	return bytes.Count(all.Bytes(), []byte("\n"))
}

// writing is a command that writes.
type writing struct {
	book    []byte   // that it is tried on, a copy each time
	args    []string // $BOOK stands for the path of the copy
	another bool     // what it writes is the file $BOOK.copy, and the book stays as it is
}

// writings are commands that write, by name.
func writings(t *testing.T) map[string]writing {
	t.Helper()
	b := testBook(t)
	ids, err := b.Append(logbook.Reading{Time: time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC), Tank: "forereef",
		Parameter: "nitrate", Text: "4", Unit: "mg/L", Value: 4})
	if err != nil {
		t.Fatal(err)
	}
	book, err := os.ReadFile(b.Path())
	if err != nil {
		t.Fatal(err)
	}
	of := func(args ...string) writing { return writing{book: book, args: args} }
	all := map[string]writing{
		"add":     of("add", "nitrate=5", "po4=0.05", "--yes"),
		"import":  of("import", importFile(t, 0, 3000)),
		"merge":   of("merge", bookOf(t, otherBook(t))),
		"strike":  of("strike", ids[0].String(), "--why", "a slip"),
		"event":   of("event", "a new pump"),
		"band":    of("band", "set", "alkalinity", "--low", "7", "--high", "9"),
		"restore": of("restore", bookOf(t, otherBook(t))),
		"backup":  {book, []string{"backup", "$BOOK.copy"}, true},
	}
	if exec.Command("strace", "true").Run() == nil { // else a server is started for nothing
		all["sync"] = writing{book: memberBook(t, book), args: []string{"sync"}}
	}
	return all
}

// memberBook is a book that is shared, and lacks a line that another member has sent.
func memberBook(t *testing.T, book []byte) []byte {
	t.Helper()
	url := server.New(t, "").Start().URL()
	one, two := bookOf(t, book), filepath.Join(t.TempDir(), "ben.book")
	for _, args := range [][]string{
		{"--book", one, "share", "create", url, "--name", "reef", "--member", "ann"},
		{"--book", two, "share", "join", url, "--name", "reef", "--member", "ben"},
		{"--book", one, "event", "seen by ann"},
		{"--book", one, "sync"},
	} {
		if out, err := exec.Command(program(t), args...).CombinedOutput(); err != nil {
			t.Fatalf("%v: %v: %s", args, err, out)
		}
	}
	data, err := os.ReadFile(two)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// try runs it on a copy of its book, and says what the file that it writes held before and holds now.
func (w writing) try(t *testing.T, options ...string) (path, trace, out string, before, now int, err error) {
	t.Helper()
	path = bookOf(t, w.book)
	for i, o := range options {
		options[i] = strings.NewReplacer("$BOOK", path, "$FOLDER", filepath.Dir(path)).Replace(o)
	}
	var args []string
	for _, a := range w.args {
		args = append(args, strings.ReplaceAll(a, "$BOOK", path))
	}
	written := path
	if was := held(t, path); w.another {
		defer func() {
			if n := held(t, path); n != was {
				t.Errorf("%v changes the book: it held %d records and holds %d", w.args, was, n)
			}
		}()
		written += ".copy"
	} else {
		before = was
	}
	trace, out, err = traced(t, path, options, args)
	if _, gone := os.Stat(written); gone == nil {
		now = held(t, written)
	}
	return path, trace, out, before, now, err
}

func otherBook(t *testing.T) []byte {
	t.Helper()
	b := testBook(t)
	for _, text := range []string{"seen", "seen again"} {
		if _, err := b.Append(logbook.Event{Time: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC), Tank: "forereef",
			Text: text}); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(b.Path())
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// TestCallsFail lets the calls by which the program reaches the disk fail one after the other. What it says was noted
// is there, what it says was not is not, nothing is there by half, and the book is sound.
func TestCallsFail(t *testing.T) {
	var failed, kept, refused int
	fired := map[string]int{}
	commands := writings(t)
	for _, name := range slices.Sorted(maps.Keys(commands)) {
		w := commands[name]
		_, _, out, before, after, err := w.try(t, "-e", "trace=none")
		if err != nil || after == before {
			t.Fatalf("%s writes nothing: %v: %s", name, err, out)
		}
		for _, call := range []string{"pwrite64:EIO", "pwrite64:ENOSPC", "fdatasync:EIO", "fsync:EIO",
			"ftruncate:ENOSPC", "renameat:EIO",
			"linkat:EIO", "unlinkat:EIO", "mkdirat:EROFS", "flock:ENOLCK", "mmap:ENOMEM", "openat:EACCES", "fstat:EIO"} {
			call, number, _ := strings.Cut(call, ":")
			for n := 1; n <= *callsEach; n++ {
				options := []string{"-e", "trace=" + call, "-e", fmt.Sprintf("inject=%s:error=%s:when=%d", call, number, n)}
				if call != "linkat" && call != "unlinkat" && call != "renameat" { // these are of files in the making
					options = append(options, "-P", "$BOOK", "-P", "$FOLDER", "-P", "$BOOK.backups", "-P", "$BOOK.copy")
				}
				path, trace, out, before, now, err := w.try(t, options...)
				if !strings.Contains(trace, "INJECTED") {
					break // there is no such call
				}
				failed++
				fired[call]++
				what := fmt.Sprintf("%s, %s %d fails with %s: %s", name, call, n, number, out)
				switch {
				case now != before && now != after:
					t.Errorf("by half: %s", what)
				case err == nil && now != after:
					t.Errorf("silently lost: %s", what)
				case err != nil && now != before && !strings.Contains(out, "before you note it again") &&
					!strings.Contains(out, "the new file stands there"):
					t.Errorf("kept, and not said: %s", what)
				case err != nil && (strings.Contains(out, "panic") || strings.Contains(out, "cannot be reached") ||
					!strings.Contains(out, path)):
					t.Errorf("not clear: %s", what)
				case err == nil:
					kept++
				default:
					refused++
				}
			}
		}
	}
	t.Logf("%d calls failed in turn: %d times it was noted all the same, %d times refused; %v", failed, kept, refused,
		fired)
	if refused == 0 || len(fired) < 11 {
		t.Error("no call that failed mattered, or one never came: the test is void")
	}
}

// change is one step by which a file came to be what it is.
type change struct {
	at   int64
	data []byte // nil: the file was given the length at
	sync bool   // what was written before is on the disk
}

// changesOf reads from a trace what was done to a book.
func changesOf(t *testing.T, trace, path string) (steps []change) {
	t.Helper()
	call := regexp.MustCompile(`^(pwrite64|fdatasync|fsync|ftruncate)\(\d+<([^>]*)>(.*)\) += (-?\d+)`)
	waiting := map[string]string{} // what a thread began, while another one's call stands between
	for line := range strings.Lines(trace) {
		thread, line, _ := strings.Cut(strings.TrimSpace(line), " ")
		line = strings.TrimSpace(line)
		if begun, is := strings.CutSuffix(line, "<unfinished ...>"); is {
			waiting[thread] = begun
			continue
		}
		if _, rest, is := strings.Cut(line, " resumed>"); is && strings.HasPrefix(line, "<... ") {
			line = strings.TrimSpace(waiting[thread]) + rest
		}
		m := call.FindStringSubmatch(line)
		if m == nil || unhexed(m[2]) != path {
			continue
		}
		args := strings.Split(strings.TrimPrefix(m[3], ", "), ", ")
		switch m[1] {
		case "pwrite64":
			at, err := strconv.ParseInt(args[2], 10, 64)
			if err != nil {
				t.Fatal(line, err)
			}
			steps = append(steps, change{at: at, data: []byte(unhexed(strings.Trim(args[0], `"`)))})
		case "ftruncate":
			length, err := strconv.ParseInt(args[0], 10, 64)
			if err != nil {
				t.Fatal(line, err)
			}
			steps = append(steps, change{at: length})
		default:
			steps = append(steps, change{sync: true})
		}
	}
	return steps
}

func unhexed(text string) string {
	if plain, err := strconv.Unquote(`"` + text + `"`); err == nil {
		return plain
	}
	return text
}

// TestPowerCuts takes the power away between any two steps of a writing. What was put on the disk before the last sync
// is there; of what was written since, any sectors of 512 bytes. The book is sound then, it is as it was before or
// after, and after the last sync it is as it was said to be.
func TestPowerCuts(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 8))
	cuts, asBefore, asAfter := 0, 0, 0
	commands := writings(t)
	for _, name := range slices.Sorted(maps.Keys(commands)) {
		w := commands[name]
		if name == "backup" || name == "restore" {
			continue // they write a new file and give it its name when it is on the disk
		}
		book := w.book
		path, trace, out, before, after, err := w.try(t, "-y", "-xx", "-s", "16777216",
			"-e", "trace=pwrite64,fdatasync,fsync,ftruncate")
		if err != nil {
			t.Fatalf("%s: %v: %s", name, err, out)
		}
		steps := changesOf(t, trace, path)
		whole, _ := os.ReadFile(path)
		if end := cutAfter(book, steps, len(steps), nil); !bytes.Equal(end, whole) {
			t.Fatalf("%s: the trace of %d steps does not lead to the book that is there", name, len(steps))
		}
		for n := range *powerCuts {
			at := random.IntN(len(steps) + 1)
			if n == 0 {
				at = len(steps) // after the last sync
			}
			now := held(t, bookOf(t, cutAfter(book, steps, at, random)))
			switch {
			case now != before && now != after, now == before && at == len(steps):
				t.Errorf("%s: cut after step %d of %d the book holds %d records, want %d or %d", name, at, len(steps), now,
					before, after)
			case now == before:
				asBefore++
			default:
				asAfter++
			}
			cuts++
		}
	}
	t.Logf("%d power cuts: %d times as before, %d times as after", cuts, asBefore, asAfter)
	if asBefore == 0 || asAfter == 0 {
		t.Error("all cuts fell on one side: the test is void")
	}
}

// cutAfter is what a disk holds of a file when the power goes after some of its steps. Of what no sync followed,
// random says which sectors have reached the disk; without it all have.
func cutAfter(before []byte, steps []change, at int, random *rand.Rand) []byte {
	file := bytes.Clone(before)
	safe := 0
	for i, s := range steps[:at] {
		if s.sync {
			safe = i
		}
	}
	for i, s := range steps[:at] {
		switch {
		case s.sync:
		case s.data == nil:
			if i < safe || random == nil || random.IntN(2) == 0 {
				file = append(file, make([]byte, max(0, int(s.at)-len(file)))...)[:s.at]
			}
		default:
			for from := 0; from < len(s.data); from += sectorSize {
				if i > safe && random != nil && random.IntN(2) == 0 {
					continue
				}
				to := min(from+sectorSize, len(s.data))
				end := int(s.at) + to
				file = append(file, make([]byte, max(0, end-len(file)))...)
				copy(file[int(s.at)+from:end], s.data[from:to])
			}
		}
	}
	return file
}

var addsEach = flag.Int("adds-each", 5, "how many readings each of the writers of TestEightWriters notes")

// TestEightWriters has eight people add readings at once, beside an open screen and a status that is asked for again
// and again. Nobody is refused, and all is there.
func TestEightWriters(t *testing.T) {
	const writers = 8
	path, book := program(t), testBook(t)
	before := held(t, book.Path())
	env := append(os.Environ(), "TERM=xterm-256color", "LEADLINE_BOOK="+book.Path())
	screen, f := startScreen(t, path, env)
	watchScreen(f).wait(t, "forereef")
	ctx, stop := context.WithCancel(t.Context())
	var looking, adding sync.WaitGroup
	run := func(args ...string) {
		cmd := exec.Command(path, args...)
		cmd.Env = env
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%v: %v: %s", args, err, out)
		}
	}
	looking.Go(func() {
		for ctx.Err() == nil {
			run("status")
		}
	})
	waits := make([][]time.Duration, writers)
	for n := range writers {
		adding.Go(func() {
			for i := range *addsEach {
				at := time.Date(2026, 1, 1+n, 0, i, 0, 0, time.UTC).Format(time.RFC3339)
				began := time.Now()
				run("add", "nitrate=5", "--at", at, "--yes")
				waits[n] = append(waits[n], time.Since(began))
			}
		})
	}
	adding.Wait()
	stop()
	looking.Wait()
	if n := held(t, book.Path()) - before; n != writers**addsEach {
		t.Errorf("the book holds %d readings, want %d", n, writers**addsEach)
	}
	all := slices.Sorted(slices.Values(slices.Concat(waits...)))
	t.Logf("%d adds, none refused; half took %v, 99 of 100 %v, the longest %v", len(all), all[len(all)/2],
		all[len(all)*99/100], all[len(all)-1])
	if _, err := f.Write([]byte{3}); err != nil {
		t.Fatal(err)
	}
	if err := screen.Wait(); err != nil {
		t.Errorf("ctrl+c: %v", err)
	}
}

// A call that began before another thread's is read as the one that it is.
func TestChangesOfATrace(t *testing.T) {
	trace := `7 pwrite64(8</b>, "\x61\x62", 2, 4 <unfinished ...>
9 fdatasync(8</b>) = 0
7 <... pwrite64 resumed>) = 2
7 ftruncate(8</b>, 16) = 0
7 fdatasync(3</other>) = 0
`
	want := []change{{sync: true}, {at: 4, data: []byte("ab")}, {at: 16}}
	if got := changesOf(t, trace, "/b"); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}
