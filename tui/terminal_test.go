//go:build unix

package tui_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"leadline/logbook"
)

// The built program in a real pseudo-terminal.

var built struct {
	once sync.Once
	path string
	err  error
}

// program builds the binary once for all tests of this file.
func program(t *testing.T) string {
	t.Helper()
	built.once.Do(func() {
		folder, err := os.MkdirTemp("", "leadline-test-*")
		if err != nil {
			built.err = err
			return
		}
		built.path = filepath.Join(folder, "leadline")
		out, err := exec.Command("go", "build", "-buildvcs=false", "-o", built.path, "../cmd/leadline").CombinedOutput()
		if err != nil {
			built.err = fmt.Errorf("%w: %s", err, out)
		}
	})
	if built.err != nil {
		t.Fatal(built.err)
	}
	return built.path
}

func TestMain(m *testing.M) {
	code := m.Run()
	if built.path != "" {
		_ = os.RemoveAll(filepath.Dir(built.path))
	}
	os.Exit(code)
}

// terminal is a program running in a pseudo-terminal, and all that it has written so far.
type terminal struct {
	t    *testing.T
	cmd  *exec.Cmd
	pty  *os.File
	mu   sync.Mutex
	out  bytes.Buffer
	seen int // what was waited for before is not found again
	done chan error
}

func start(t *testing.T, w, h uint16, args ...string) *terminal {
	t.Helper()
	cmd := exec.Command(program(t), args...)
	cmd.Env = append(os.Environ(), "TERM=xterm-256color", "LC_ALL=C.UTF-8", "NO_COLOR=1", "LEADLINE_BOOK=", "CI=",
		"XDG_STATE_HOME="+t.TempDir())
	f, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: h, Cols: w})
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	term := &terminal{t: t, cmd: cmd, pty: f, done: make(chan error, 1)}
	read := make(chan struct{})
	go func() {
		defer close(read)
		buf := make([]byte, 4096)
		for {
			n, err := f.Read(buf)
			term.mu.Lock()
			term.out.Write(buf[:n])
			term.mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	go func() {
		err := cmd.Wait()
		<-read
		term.done <- err
	}()
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = f.Close()
	})
	return term
}

func (x *terminal) text() string {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.out.String()
}

// wait waits until text appears after what was waited for before.
func (x *terminal) wait(text string) {
	x.t.Helper()
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		all := x.text()
		if i := strings.Index(all[x.seen:], text); i >= 0 {
			x.seen += i + len(text)
			return
		}
	}
	x.t.Fatalf("%q did not appear; the end of the output is %q", text, tail(x.text(), 3000))
}

func tail(s string, n int) string { return s[max(0, len(s)-n):] }

func (x *terminal) press(keys string) {
	x.t.Helper()
	if _, err := x.pty.WriteString(keys); err != nil {
		x.t.Fatal(err)
	}
}

func (x *terminal) size(w, h uint16) {
	x.t.Helper()
	if err := pty.Setsize(x.pty, &pty.Winsize{Rows: h, Cols: w}); err != nil {
		x.t.Fatal(err)
	}
}

// end waits for the program to end by itself.
func (x *terminal) end() error {
	x.t.Helper()
	select {
	case err := <-x.done:
		return err
	case <-time.After(30 * time.Second):
		x.t.Fatalf("it does not end; the end of the output is %q", tail(x.text(), 3000))
		return nil
	}
}

// restored checks that the last words leave the alternate screen and show the cursor again.
func (x *terminal) restored() {
	x.t.Helper()
	out := x.text()
	for _, code := range []string{"\x1b[?1049l", "\x1b[?25h"} {
		if !strings.Contains(tail(out, 400), code) {
			x.t.Errorf("the terminal was left without %q: %q", code, tail(out, 400))
		}
	}
}

const (
	enter = "\r"
	ctrlC = "\x03"
	ctrlS = "\x13"
)

func TestDemoInATerminal(t *testing.T) {
	x := start(t, 80, 24, "demo")
	x.wait("forereef: phosphate")
	x.size(120, 40)
	x.wait("next test")
	x.size(30, 8)
	x.wait("leadline needs 40")
	x.size(40, 12)
	x.wait("\x1b[1mphosphate") // the cursor is on it: everything is examined
	x.size(80, 24)
	x.press(enter)
	x.wait("forereef · phosphate")
	x.press("W")
	x.wait("readings from")
	x.press("?")
	x.wait("next parameter")
	x.press("q")
	x.press(ctrlC)
	if err := x.end(); err != nil {
		t.Errorf("ctrl+c: %v", err)
	}
	x.restored()
	for _, question := range []string{"\x1b]11", "\x1b]10", "\x1b[6n", "\x1b[c"} {
		if strings.Contains(x.text(), question) {
			t.Errorf("the terminal was asked %q", question)
		}
	}
}

func emptyTank(t *testing.T) *logbook.Book {
	t.Helper()
	b, err := logbook.Create(filepath.Join(t.TempDir(), "keeper.book"))
	if err != nil {
		t.Fatal(err)
	}
	low, high := 7.0, 9.0
	if _, err := b.Append(logbook.Tank{Name: "forereef",
		Bands: map[string]logbook.Band{"alkalinity": {Low: &low, High: &high}}}); err != nil {
		t.Fatal(err)
	}
	return b
}

func draftText(t *testing.T, b *logbook.Book) string {
	t.Helper()
	text := ""
	err := b.View(func(v *logbook.View) error {
		d, _, err := v.Draft("forereef")
		text = d.Fields["alkalinity"].Text
		return err
	})
	if err != nil && !errors.Is(err, logbook.ErrBusy) {
		t.Fatal(err)
	}
	return text
}

// A window that is closed half way loses nothing: it is offered again, and then saved.
func TestClosedWindowKeepsTheTestDay(t *testing.T) {
	b := emptyTank(t)
	x := start(t, 80, 24, "--book", b.Path())
	x.wait("alkalinity")
	x.press("t")
	x.wait("first test")
	x.press("8.2")
	for end := time.Now().Add(20 * time.Second); draftText(t, b) != "8.2"; time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("the draft says %q", draftText(t, b))
		}
	}
	if err := x.cmd.Process.Signal(syscall.SIGHUP); err != nil {
		t.Fatal(err)
	}
	_ = x.end() // dies of the signal

	x = start(t, 80, 24, "--book", b.Path())
	x.wait("half typed")
	x.press("t")
	x.wait("is back")
	x.press(ctrlS)
	x.wait("1 reading of forereef in the book")
	x.press("q")
	if err := x.end(); err != nil {
		t.Errorf("q: %v", err)
	}
	x.restored()
	if text := draftText(t, b); text != "" {
		t.Errorf("after saving the draft still says %q", text)
	}
}

// A terminated program leaves the terminal as it was.
func TestTerminated(t *testing.T) {
	x := start(t, 80, 24, "--book", emptyTank(t).Path())
	x.wait("alkalinity")
	if err := x.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	_ = x.end() // its code says that it was stopped
	x.restored()
}
