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

// held is how many records a book holds, which must be sound.
func held(t *testing.T, path string) int {
	t.Helper()
	found, err := logbook.Verify(path)
	if err != nil || len(found.Problems) > 0 {
		t.Fatalf("the book is not sound: %v %v", err, found.Problems)
	}
	n := 2*found.Counts.Struck + found.Counts.Readings
	for _, of := range found.Counts.Entries {
		n += of
	}
	return n
}

// writing are commands that write, each tried on a copy of one book.
func writing(t *testing.T) (book []byte, commands map[string][]string) {
	t.Helper()
	b := testBook(t)
	ids, err := b.Append(logbook.Reading{Time: time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC), Tank: "forereef",
		Parameter: "nitrate", Text: "4", Unit: "mg/L", Value: 4})
	if err != nil {
		t.Fatal(err)
	}
	book, err = os.ReadFile(b.Path())
	if err != nil {
		t.Fatal(err)
	}
	return book, map[string][]string{
		"add":    {"add", "nitrate=5", "po4=0.05", "--yes"},
		"import": {"import", importFile(t, 0, 3000)},
		"merge":  {"merge", bookOf(t, otherBook(t))},
		"strike": {"strike", ids[0].String(), "--why", "a slip"},
		"event":  {"event", "a new pump"},
	}
}

func otherBook(t *testing.T) []byte {
	t.Helper()
	b := testBook(t)
	if _, err := b.Append(logbook.Event{Time: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC), Tank: "forereef",
		Text: "seen"}); err != nil {
		t.Fatal(err)
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
	book, commands := writing(t)
	var failed, kept, refused int
	for _, name := range slices.Sorted(maps.Keys(commands)) {
		before := held(t, bookOf(t, book))
		path := bookOf(t, book)
		if _, out, err := traced(t, path, []string{"-e", "trace=none"}, commands[name]); err != nil {
			t.Fatalf("%s: %v: %s", name, err, out)
		}
		after := held(t, path)
		if after == before {
			t.Fatalf("%s writes nothing", name)
		}
		for _, call := range []string{"pwrite64:EIO", "pwrite64:ENOSPC", "write:ENOSPC", "fdatasync:EIO", "fsync:EIO",
			"ftruncate:ENOSPC",
			"linkat:EIO", "unlinkat:EIO", "mkdirat:EROFS", "flock:ENOLCK", "mmap:ENOMEM", "openat:EACCES", "fstat:EIO"} {
			call, number, _ := strings.Cut(call, ":")
			for n := 1; n <= *callsEach; n++ {
				path := bookOf(t, book)
				trace, out, err := traced(t, path, []string{"-P", path, "-P", filepath.Dir(path), "-P", path + ".backups",
					"-e", "trace=" + call, "-e", fmt.Sprintf("inject=%s:error=%s:when=%d", call, number, n)}, commands[name])
				if !strings.Contains(trace, "INJECTED") {
					break // there is no such call
				}
				failed++
				what := fmt.Sprintf("%s, %s %d fails with %s: %s", name, call, n, number, out)
				switch now := held(t, path); {
				case now != before && now != after:
					t.Errorf("by half: %s", what)
				case err == nil && now != after:
					t.Errorf("silently lost: %s", what)
				case err != nil && now != before && !strings.Contains(out, "before you note it again"):
					t.Errorf("kept, and not said: %s", what)
				case err != nil && (strings.Contains(out, "panic") || !strings.Contains(out, path)):
					t.Errorf("not clear: %s", what)
				case err == nil:
					kept++
				default:
					refused++
				}
			}
		}
	}
	t.Logf("%d calls failed in turn: %d times it was noted all the same, %d times refused", failed, kept, refused)
	if refused == 0 {
		t.Error("no call that failed mattered: the test is void")
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
	book, commands := writing(t)
	random := rand.New(rand.NewPCG(5, 8))
	cuts, asBefore, asAfter := 0, 0, 0
	for _, name := range slices.Sorted(maps.Keys(commands)) {
		before := held(t, bookOf(t, book))
		path := bookOf(t, book)
		trace, out, err := traced(t, path, []string{"-y", "-xx", "-s", "16777216",
			"-e", "trace=pwrite64,fdatasync,fsync,ftruncate"}, commands[name])
		if err != nil {
			t.Fatalf("%s: %v: %s", name, err, out)
		}
		after := held(t, path)
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
	if n := held(t, book.Path()); n != writers**addsEach {
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
