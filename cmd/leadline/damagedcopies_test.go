package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"leadline/logbook"
)

var damagedCopies = flag.Int("damaged-copies", 24, "how many damaged copies TestDamagedCopies asks")

const (
	pageSize   = 4096
	sectorSize = 512
)

// agedBook makes a book of 2,000 readings that was written to in many commits, and gives the file as it was after each
// commit, the last one last.
func agedBook(t *testing.T) (states [][]byte) {
	t.Helper()
	book := testBook(t)
	keep := func(_ any, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		data, err := os.ReadFile(book.Path())
		if err != nil {
			t.Fatal(err)
		}
		states = append(states, data)
	}
	parameters := []string{"nitrate", "phosphate", "alkalinity", "calcium", "magnesium"}
	reading := func(i int) logbook.Reading {
		value := 4 + float64(i%17)/10
		return logbook.Reading{
			Time: time.Date(2025, 1, 1, 9, 0, 0, 0, time.UTC).Add(time.Duration(i) * 6 * time.Hour), Tank: "forereef",
			Parameter: parameters[i%len(parameters)], Text: fmt.Sprintf("%.1f", value), Unit: "mg/L", Value: value,
			Method: "card",
		}
	}
	var first logbook.Batch
	for i := range 1900 {
		if err := first.Add(reading(i)); err != nil {
			t.Fatal(err)
		}
	}
	keep(book.ImportBatch(&first))
	low := 2.0
	for i := 1900; i < 2000; i++ {
		ids, err := book.Append(reading(i))
		keep(ids, err)
		day := reading(i).Time
		switch i % 10 {
		case 2: // the same keys with other values
			edge := low + float64(i-1900)/100
			keep(book.Append(logbook.Tank{Name: "forereef", Bands: map[string]logbook.Band{"nitrate": {Low: &edge}}}))
		case 4: // one reading less, and one more
			other := reading(i)
			other.Text, other.Value = "5.55", 5.55
			keep(book.Strike(logbook.Strike{Target: ids[0], Time: day, Why: "a slip"}, other))
		case 6:
			keep(book.Append(logbook.Event{Time: day, Tank: "forereef", Tags: []string{"seen"}, Text: fmt.Sprint("event ", i)}))
			keep(book.Append(logbook.Method{Name: "card", Parameter: "nitrate", Unit: "mg/L", Step: float64(i) / 1000}))
		case 8:
			keep(book.Append(logbook.WaterChange{Time: day, Tank: "forereef", Fraction: 0.1}))
		}
	}
	return states
}

// damaged spoils the last state of a book in one of the ways of disks, and says how. lost says that the copy is what
// the file is before the head page of its last commit is written: then the commit was never made.
func damaged(random *rand.Rand, states [][]byte) (data []byte, how string, lost bool) {
	last := states[len(states)-1]
	data = bytes.Clone(last)
	older := func() []byte { return states[len(states)-2-random.IntN(min(30, len(states)-1))] }
	stale := func(page int, of []byte) bool {
		from, to := page*pageSize, (page+1)*pageSize
		if to > len(of) || bytes.Equal(of[from:to], data[from:to]) {
			return false
		}
		copy(data[from:to], of[from:to])
		return true
	}
	switch random.IntN(6) {
	case 0:
		n := 1 + random.IntN(3)
		for range n {
			data[random.IntN(len(data))] ^= 1 << random.IntN(8)
		}
		return data, fmt.Sprintf("%d flipped bits", n), false
	case 1:
		at := random.IntN(len(data)/sectorSize) * sectorSize
		clear(data[at : at+sectorSize])
		return data, fmt.Sprintf("the sector at %d is zero", at), false
	case 2:
		for {
			page, of := 2+random.IntN(len(data)/pageSize-2), older()
			if stale(page, of) {
				return data, fmt.Sprintf("page %d is an older one", page), false
			}
		}
	case 3: // a flipped bit in what leads to the records
		page := random.IntN(len(data) / pageSize)
		at := page*pageSize + random.IntN(16+16*60)
		data[at] ^= 1 << random.IntN(8)
		return data, fmt.Sprintf("a flipped bit at %d, where page %d begins", at, page), false
	case 4:
		page := random.IntN(2)
		for {
			if of := older(); stale(page, of) {
				before := states[len(states)-2]
				lost = bytes.Equal(data[:2*pageSize], before[:2*pageSize])
				return data, fmt.Sprintf("head page %d is an older one", page), lost
			}
		}
	}
	n := random.IntN(len(data))
	return data[:n], fmt.Sprintf("cut off at %d", n), false
}

// asked is what a run of the program answered.
type asked struct {
	out, err string
	code     int
	ended    bool // of itself
}

// ask runs the program with no more than 10 s of the processor's time and, where the system can hold it to that, 1 GB.
// If it only waits it is ended too, but late, for the machine may be busy.
func ask(path, book string, args ...string) asked {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	defer cancel()
	limited := []string{"-c", `ulimit -t 10; ulimit -d 1048576; exec "$0" "$@"`, path, "--book", book}
	cmd := exec.CommandContext(ctx, "sh", append(limited, args...)...)
	var out, errOut bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errOut
	err := cmd.Run()
	a := asked{out: out.String(), err: errOut.String()}
	a.ended = ctx.Err() == nil && !strings.Contains(a.err, "SIGXCPU")
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		a.code = exit.ExitCode()
	} else if err != nil {
		a.code, a.err = -1, err.Error()
	}
	return a
}

// panicText is what Go says when a program breaks down.
var panicText = regexp.MustCompile(`goroutine \d|panic|runtime error|fatal error|assertion failed|unexpected fault`)

// What a damaged book answers is what the whole one answers, or it is refused: with an exit code, a message and no end
// of waiting. The copy whose last head page is gone is as if the last writing had never been made.
func TestDamagedCopies(t *testing.T) {
	many := *damagedCopies
	if testing.Short() {
		many = min(many, 8)
	}
	path := program(t)
	states := agedBook(t)
	folder := t.TempDir()
	write := func(name string, data []byte) string {
		file := filepath.Join(folder, name)
		if err := os.WriteFile(file, data, 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	questions := [][]string{
		{"status", "--as-of", "2026-05-20"},
		{"readings", "nitrate", "--as-of", "2026-05-20"},
		{"readings", "phosphate", "--json", "--as-of", "2026-05-20"},
		{"export", "jsonl"},
	}
	answers := func(file string) (all []asked) {
		for _, q := range questions {
			all = append(all, ask(path, file, q...))
		}
		return all
	}
	want := map[bool][]asked{}
	for lost, state := range map[bool][]byte{false: states[len(states)-1], true: states[len(states)-2]} {
		want[lost] = answers(write("whole.book", state))
		for i, a := range want[lost] {
			if a.code != 0 || !a.ended {
				t.Fatalf("%v of the whole book: %+v", questions[i], a)
			}
		}
	}
	type copied struct {
		n    int
		data []byte
		how  string
		lost bool
	}
	copies := make(chan copied)
	go func() {
		random := rand.New(rand.NewPCG(11, 12))
		for n := range many {
			data, how, lost := damaged(random, states)
			copies <- copied{n, data, how, lost}
		}
		close(copies)
	}()
	var mu sync.Mutex
	var hangs, silent, equal, refused int
	look := func(c copied) {
		file := write(fmt.Sprintf("copy-%d.book", c.n), c.data)
		defer os.Remove(file)
		fault := func(args []string, format string, more ...any) {
			t.Errorf("copy %d (%s): %s: %s", c.n, c.how, strings.Join(args, " "), fmt.Sprintf(format, more...))
		}
		check := func(args []string, a asked, want string) {
			mu.Lock()
			defer mu.Unlock()
			switch {
			case !a.ended:
				hangs++
				fault(args, "did not end")
			case a.code == 0 && a.out != want:
				silent++
				fault(args, "another answer than that of the whole book")
			case a.code == 0:
				equal++
			case a.code != 1 || a.out != "" || !strings.HasPrefix(strings.TrimPrefix(a.err, `{"error":"`), file+": "):
				fault(args, "exit %d, prints %q and says %q", a.code, a.out, a.err)
			default:
				refused++
			}
			if panicText.MatchString(a.out + a.err) {
				fault(args, "a panic's text: %.300s", a.out+a.err)
			}
		}
		for i, a := range answers(file) {
			check(questions[i], a, want[c.lost][i].out)
		}
		verify := []string{"verify"}
		if a := ask(path, file, verify...); !a.ended || panicText.MatchString(a.out+a.err) {
			fault(verify, "ended %v: %.300s", a.ended, a.out+a.err)
		} else if strings.Contains(a.out, ", 0 readings") {
			fault(verify, "counts what it did not read: %s", a.out)
		}
		add := []string{"add", "nitrate=4.2", "--at", "2020-01-01T09:00:00Z", "--yes"} // before all others
		a := ask(path, file, add...)
		if a.code != 0 || !a.ended {
			a.out = ""
			check(add, a, "")
			return
		}
		export := []string{"export", "jsonl"}
		b := ask(path, file, export...)
		b.out = regexp.MustCompile(`(?m)^.*"2020-01-01T09:00:00Z".*\n`).ReplaceAllString(b.out, "")
		if b.code != 0 {
			fault(add, "was kept and then: %s", b.err)
		}
		check(export, b, want[c.lost][len(questions)-1].out)
	}
	var all sync.WaitGroup
	for range 2 {
		all.Go(func() {
			for c := range copies {
				look(c)
			}
		})
	}
	all.Wait()
	t.Logf("%d damaged copies: %d hangs, %d silent differences, %d answers equal, %d refused", many, hangs, silent, equal,
		refused)
}
