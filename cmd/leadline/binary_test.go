package main

import (
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

var killRounds = flag.Int("kill-rounds", 12, "how many runs are killed at a random moment")

// builtProgram builds the program once for the tests that need the real one. It names no commit: git says nothing of
// the checkout of another user.
var builtProgram = sync.OnceValues(func() (string, error) {
	path := filepath.Join(testFolder, "leadline")
	out, err := exec.Command("go", "build", "-buildvcs=false", "-o", path, ".").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return path, nil
})

func program(t *testing.T) string {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("needs a pseudo-terminal and signals")
	}
	path, err := builtProgram()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// testBook makes a book with one tank.
func testBook(t *testing.T) *logbook.Book {
	t.Helper()
	book, err := logbook.Create(filepath.Join(t.TempDir(), "test.book"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := book.Append(logbook.Tank{Name: "forereef"}); err != nil {
		t.Fatal(err)
	}
	return book
}

// TestSilentTerminal runs the program on a terminal that answers no question. It must not ask: the screen library would
// ask for the background colour and wait up to five seconds (see quietstart).
func TestSilentTerminal(t *testing.T) {
	path, book := program(t), testBook(t)
	for _, args := range [][]string{{"version"}, {"status"}, {"add", "nitrate=4.2"}, {"alerts"}} {
		t.Run(args[0], func(t *testing.T) {
			cmd := exec.Command(path, args...)
			cmd.Env = append(os.Environ(), "TERM=xterm-256color", "LEADLINE_BOOK="+book.Path())
			f, err := pty.Start(cmd)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			out, _ := io.ReadAll(f) // ends with an error of its own when the other end is closed
			if err := cmd.Wait(); err != nil {
				t.Errorf("%v: %s", err, out)
			}
			if strings.Contains(string(out), "\x1b]11") {
				t.Errorf("asked for the background colour: %q", out)
			}
		})
	}
}

// TestAddAsks types lines at a terminal: what was understood is shown, and it is in the book after a yes alone.
func TestAddAsks(t *testing.T) {
	book := testBook(t)
	note := filepath.Join(t.TempDir(), "note.txt")
	if err := os.WriteFile(note, []byte("ca 421 @yesterday 18:00"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		arg, typed string
		kept       int
	}{{note, "no\n", 0}, {note, "yes\n", 1}, {"-", "ca 422\n\x04yes\n", 2}} {
		cmd := exec.Command(program(t), "add", c.arg)
		cmd.Env = append(os.Environ(), "LEADLINE_BOOK="+book.Path())
		f, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.WriteString(c.typed); err != nil {
			t.Fatal(err)
		}
		out, _ := io.ReadAll(f) // ends with an error of its own when the other end is closed
		f.Close()
		if err := cmd.Wait(); (err == nil) != (c.kept > 0) || !strings.Contains(string(out), "keep 1 reading?") {
			t.Errorf("%s, %q: %v: %s", c.arg, c.typed, err, out)
		}
		kept, err := exec.Command("env", "LEADLINE_BOOK="+book.Path(), program(t), "readings", "calcium").Output()
		if n := strings.Count(string(kept), " 42"); err != nil || n != c.kept {
			t.Errorf("%s, %q: %v, the book holds %s", c.arg, c.typed, err, kept)
		}
	}
}

// TestScreenOnSilentTerminal opens the terminal interface on such a terminal: the first frame comes, no question is
// asked, ctrl+c ends it, and the demo's file is gone.
func TestScreenOnSilentTerminal(t *testing.T) {
	cmd := exec.Command(program(t), "demo")
	temporary := t.TempDir()
	cmd.Env = append(os.Environ(), "TERM=xterm-256color", "TMPDIR="+temporary)
	f, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 24, Cols: 80})
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	seen := watchScreen(f)
	seen.wait(t, "phosphate")
	if _, err := f.Write([]byte{3}); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Errorf("ctrl+c: %v", err)
	}
	if strings.Contains(seen.String(), "\x1b]11") {
		t.Error("asked for the background colour")
	}
	if left, _ := os.ReadDir(temporary); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// TestTerminalGone: the screen ends with its terminal though it gets no hangup, as under nohup.
func TestTerminalGone(t *testing.T) {
	path, _ := program(t), testBook(t)
	screen := exec.Command("sh", "-c", `trap "" HUP; exec "$0" demo`, path)
	f, err := pty.StartWithSize(screen, &pty.Winsize{Rows: 24, Cols: 80})
	if err != nil {
		t.Fatal(err)
	}
	watchScreen(f).wait(t, "forereef")
	f.Close()
	ended := make(chan error, 1)
	go func() { ended <- screen.Wait() }()
	select {
	case <-ended:
	case <-time.After(time.Minute):
		screen.Process.Kill()
		t.Error("it stays without a terminal")
	}
}

// TestKilled kills runs of add and import at random moments. Every reading whose add returned is there afterwards, and
// every import is whole or absent.
func TestKilled(t *testing.T) {
	path, book := program(t), testBook(t)
	const rows = 400
	acknowledged := map[string]bool{}
	rnd := rand.New(rand.NewPCG(1, 2))
	killed := 0
	var whole [2]time.Duration // what a run of add and of import takes when it is left alone
	for round := range 2 + *killRounds {
		kind := round % 2
		at := time.Date(2020, 1, 1, 0, round, 0, 0, time.UTC).Format(time.RFC3339)
		args := []string{"add", fmt.Sprintf("nitrate=%d.5", round%100), "--at", at, "--tank", "forereef", "--yes"}
		if kind == 1 {
			args = []string{"import", importFile(t, round, rows)}
		}
		cmd := exec.Command(path, args...)
		cmd.Env = append(os.Environ(), "LEADLINE_BOOK="+book.Path())
		began := time.Now()
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		if whole[kind] > 0 {
			moment := time.Duration(rnd.Int64N(int64(2 * whole[kind])))
			defer time.AfterFunc(moment, func() { cmd.Process.Kill() }).Stop()
		}
		err := cmd.Wait()
		if whole[kind] == 0 {
			whole[kind] = time.Since(began)
		}
		switch {
		case err == nil && kind == 0:
			acknowledged[at] = true
		case err != nil && cmd.ProcessState.ExitCode() >= 0:
			t.Fatalf("round %d: %v", round, err)
		case err != nil:
			killed++
		}
	}
	there := map[string]bool{}
	imported := map[string]int{}
	err := book.View(func(v *logbook.View) error {
		return v.EachReading(func(r logbook.Reading) error {
			if r.Parameter == "nitrate" {
				there[r.Time.UTC().Format(time.RFC3339)] = true
			} else {
				imported[r.Note]++
			}
			return nil
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	for at := range acknowledged {
		if !there[at] {
			t.Errorf("the reading of %s was acknowledged and is lost", at)
		}
	}
	for note, n := range imported {
		if n != rows {
			t.Errorf("import %s has %d of %d rows", note, n, rows)
		}
	}
	found, err := logbook.Verify(book.Path())
	if err != nil || len(found.Problems) > 0 {
		t.Errorf("the book is not sound: %v %v", err, found.Problems)
	}
	t.Logf("%d rounds: %d killed, %d adds acknowledged, %d imports whole", *killRounds, killed, len(acknowledged),
		len(imported))
}

func importFile(t *testing.T, round, rows int) string {
	var b strings.Builder
	b.WriteString("time,tank,parameter,value,unit,method,note\n")
	for i := range rows {
		at := time.Date(2021, 1, 1, round%24, i, 0, 0, time.UTC).AddDate(0, 0, round)
		fmt.Fprintf(&b, "%s,forereef,calcium,%d,mg/L,,import %d\n", at.Format(time.RFC3339), 400+i%40, round)
	}
	path := filepath.Join(t.TempDir(), "rows.csv")
	if err := os.WriteFile(path, []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// startScreen opens the terminal interface on a terminal of 80 columns and 24 rows.
func startScreen(t *testing.T, path string, env []string) (*exec.Cmd, *os.File) {
	t.Helper()
	screen := exec.Command(path)
	screen.Env = env
	f, err := pty.StartWithSize(screen, &pty.Winsize{Rows: 24, Cols: 80})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return screen, f
}

// TestAddBesideScreen: while the terminal interface is open on a book, an add in another process succeeds and appears
// on the screen by itself.
func TestAddBesideScreen(t *testing.T) {
	path, book := program(t), testBook(t)
	env := append(os.Environ(), "TERM=xterm-256color", "LEADLINE_BOOK="+book.Path())
	screen, f := startScreen(t, path, env)
	seen := watchScreen(f)
	seen.wait(t, "forereef")
	add := exec.Command(path, "add", "nitrate=7.7")
	add.Env = env
	if out, err := add.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	seen.wait(t, "7.7")
	if _, err := f.Write([]byte{3}); err != nil {
		t.Fatal(err)
	}
	if err := screen.Wait(); err != nil {
		t.Errorf("ctrl+c: %v", err)
	}
}

// screenText is what a terminal was sent so far.
type screenText struct {
	mu   sync.Mutex
	text strings.Builder
	more chan struct{}
}

func watchScreen(r io.Reader) *screenText {
	s := &screenText{more: make(chan struct{}, 1)}
	go func() {
		defer close(s.more)
		buffer := make([]byte, 4096)
		for {
			n, err := r.Read(buffer)
			s.mu.Lock()
			s.text.Write(buffer[:n])
			s.mu.Unlock()
			if err != nil {
				return
			}
			select {
			case s.more <- struct{}{}:
			default:
			}
		}
	}()
	return s
}

func (s *screenText) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.text.String()
}

// wait waits for a text to appear.
func (s *screenText) wait(t *testing.T, text string) {
	t.Helper()
	limit := time.After(time.Minute)
	for !strings.Contains(s.String(), text) {
		select {
		case _, open := <-s.more:
			if !open && !strings.Contains(s.String(), text) {
				t.Fatalf("ended without %q:\n%q", text, s.String())
			}
		case <-limit:
			t.Fatalf("no %q on the screen:\n%q", text, s.String())
		}
	}
}

// TestInterrupted: a signal ends a command that waits for input, and the screen, cleanly; nothing is left behind.
func TestInterrupted(t *testing.T) {
	path, book, temporary := program(t), testBook(t), t.TempDir()
	env := append(os.Environ(), "TERM=xterm-256color", "LEADLINE_BOOK="+book.Path(), "TMPDIR="+temporary)

	waiting := exec.Command(path, "import", "-")
	waiting.Env = env
	in, err := waiting.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := waiting.Start(); err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(in, "time,tank,parameter,value\n"); err != nil {
		t.Fatal(err)
	}
	time.AfterFunc(200*time.Millisecond, func() { waiting.Process.Signal(os.Interrupt) })
	if err := waiting.Wait(); waiting.ProcessState.ExitCode() != usage.ExitInterrupted {
		t.Errorf("import: %v, want exit code %d", err, usage.ExitInterrupted)
	}

	if _, err := book.Append(logbook.Chore{Tank: "forereef", Name: "floss", EveryDays: 1}, logbook.ChoreDone{
		Tank: "forereef", Chore: "floss", Time: time.Now().AddDate(0, 0, -3)}); err != nil {
		t.Fatal(err)
	}
	telling := exec.Command(path, "alerts", "--new", "--run", "(sleep 2; touch late) & kill -INT $PPID; wait")
	telling.Env, telling.Dir = env, t.TempDir()
	out, err := telling.CombinedOutput()
	if telling.ProcessState.ExitCode() != usage.ExitInterrupted || len(out) > 0 {
		t.Errorf("alerts: %v %s, want exit code %d", err, out, usage.ExitInterrupted)
	}
	if _, err := os.Stat(filepath.Join(telling.Dir, "late")); err == nil {
		t.Error("what a command of the keeper's started went on after an interrupt")
	}

	for _, sent := range []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP} {
		if signal.Ignored(sent) { // as nohup has it, and what it starts
			continue
		}
		screen := exec.Command(path, "demo")
		screen.Env = env
		f, err := pty.StartWithSize(screen, &pty.Winsize{Rows: 24, Cols: 80})
		if err != nil {
			t.Fatal(err)
		}
		seen := watchScreen(f)
		seen.wait(t, "forereef")
		if err := screen.Process.Signal(sent); err != nil {
			t.Fatal(err)
		}
		_ = screen.Wait() // by its exit code a script may see that it was ended
		if code := screen.ProcessState.ExitCode(); code != 0 && code != usage.ExitInterrupted {
			t.Errorf("%v: exit code %d", sent, code)
		}
		for range seen.more { // what it wrote last is still to be read
		}
		f.Close()
		const leaveAlternateScreen, showCursor = "\x1b[?1049l", "\x1b[?25h"
		if s := seen.String(); !strings.Contains(s, leaveAlternateScreen) || !strings.Contains(s, showCursor) {
			t.Errorf("%v: the terminal was not put back in order: %q", sent, s[max(0, len(s)-200):])
		}
	}
	if left, _ := os.ReadDir(temporary); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// TestReaderGone: when whoever reads the results goes away, as head does, the command ends without a word.
func TestReaderGone(t *testing.T) {
	path, book, temporary := program(t), testBook(t), t.TempDir()
	env := append(os.Environ(), "LEADLINE_BOOK="+book.Path(), "TMPDIR="+temporary)
	imported := exec.Command(path, "import", importFile(t, 0, 5000))
	imported.Env = env
	if out, err := imported.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, args := range [][]string{{"export", "csv"}, {"readings", "calcium"}, {"demo"}} {
		r, w, err := os.Pipe()
		if err != nil {
			t.Fatal(err)
		}
		r.Close()
		var errOut strings.Builder
		cmd := exec.Command(path, args...)
		cmd.Env, cmd.Stdout, cmd.Stderr = env, w, &errOut
		err = cmd.Run()
		w.Close()
		if err != nil {
			t.Errorf("%v: %v", args, err)
		}
		if s := errOut.String(); args[0] != "demo" && s != "" {
			t.Errorf("%v: %q", args, s)
		}
	}
	if left, _ := os.ReadDir(temporary); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}
