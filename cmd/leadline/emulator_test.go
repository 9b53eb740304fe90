//go:build unix

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/creack/pty"
	"github.com/hinshun/vt10x"

	"leadline/cmd/internal/app"
)

// The keys that are not letters, as a terminal sends them.
const (
	enter, escape, tab, shiftTab, backspace, space = "\r", "\x1b", "\t", "\x1b[Z", "\x7f", " "
	ctrlC, ctrlG, ctrlO, ctrlS, ctrlU              = "\x03", "\x07", "\x0f", "\x13", "\x15"
	ctrlX, ctrlY, ctrlZ                            = "\x18", "\x19", "\x1a"
	up, down, left, right                          = "\x1b[A", "\x1b[B", "\x1b[D", "\x1b[C"
)

// patience is how long a text may take to appear on a busy machine.
const patience = 20 * time.Second

// emulator is a terminal of which the screen can be read: the built program, or a shell that runs it, writes to a
// pseudo-terminal, and what it writes is drawn into cells as a terminal draws it. Tests wait for what is on the screen
// now, never for a time.
type emulator struct {
	t     *testing.T
	cmd   *exec.Cmd
	pty   *os.File
	ended chan error

	mu      sync.Mutex
	cells   vt10x.Terminal
	sent    bytes.Buffer  // all that was written
	rest    []byte        // the begin of a character whose end is still to come
	changed chan struct{} // closed and made anew with each write
}

// household is a keeper's folders, apart from those of every other test.
type household struct {
	folder string
	path   string // the program
}

func newHousehold(t *testing.T) household {
	t.Helper()
	t.Parallel()
	return household{folder: t.TempDir(), path: program(t)}
}

func (h household) book() string { return filepath.Join(h.folder, "data", app.BookName) }

func (h household) env(more ...string) []string {
	var out []string
	for _, v := range os.Environ() {
		switch name, _, _ := strings.Cut(v, "="); {
		case strings.HasPrefix(name, "LEADLINE_"), strings.HasPrefix(name, "XDG_"), strings.HasPrefix(name, "LC_"),
			strings.HasPrefix(name, "LANG"), name == "NO_COLOR", name == "CI", name == "HOME", name == "TERM", name == "TZ":
		default:
			out = append(out, v)
		}
	}
	out = append(out, "HOME="+h.folder, "TERM=xterm-256color", "LANG=C.UTF-8", "TZ=UTC", "PS1=shell> ", "TMPDIR="+h.folder,
		"XDG_DATA_HOME="+filepath.Join(h.folder, "data"), "XDG_STATE_HOME="+filepath.Join(h.folder, "state"),
		"XDG_CONFIG_HOME="+filepath.Join(h.folder, "config"))
	return append(out, more...)
}

// run runs a command of the program on the keeper's book, without a terminal.
func (h household) run(t *testing.T, args ...string) string {
	t.Helper()
	cmd := exec.Command(h.path, args...)
	cmd.Env = h.env()
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("leadline %s: %v\n%s", strings.Join(args, " "), err, out)
	}
	return string(out)
}

// demoNow is the moment the invented log of these tests ends at.
const demoNow = testNow

// demoBook puts the invented log into the keeper's book; the program is to be started as of demoNow.
func (h household) demoBook(t *testing.T) {
	t.Helper()
	now, err := time.Parse(time.RFC3339, demoNow)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Dir(h.book()), 0o700); err != nil {
		t.Fatal(err)
	}
	a := &app.App{Now: func() time.Time { return now }}
	if _, err := demoBook(a, h.book()); err != nil {
		t.Fatal(err)
	}
}

// start starts the program in a terminal of a size.
func (h household) start(t *testing.T, w, height int, args ...string) *emulator {
	t.Helper()
	return h.startIn(t, w, height, h.env(), h.path, args...)
}

func (h household) startIn(t *testing.T, w, height int, env []string, name string, args ...string) *emulator {
	t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Env = env
	cmd.Dir = h.folder
	f, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: uint16(height), Cols: uint16(w)})
	if err != nil {
		t.Fatalf("no pseudo-terminal: %v", err)
	}
	e := &emulator{t: t, cmd: cmd, pty: f, ended: make(chan error, 1), cells: vt10x.New(vt10x.WithSize(w, height)),
		changed: make(chan struct{})}
	drawn := make(chan struct{})
	go func() {
		defer close(drawn)
		buffer := make([]byte, 1<<16)
		for {
			n, err := f.Read(buffer)
			e.draw(buffer[:n])
			if err != nil {
				return
			}
		}
	}()
	go func() {
		err := cmd.Wait()
		<-drawn
		e.ended <- err
	}()
	t.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = f.Close()
	})
	return e
}

// draw hands what was written to the cells, which take whole characters only.
func (e *emulator) draw(written []byte) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.sent.Write(written)
	all := append(e.rest, written...)
	whole := len(all)
	for i := 1; i <= min(utf8.UTFMax-1, len(all)); i++ {
		if last := all[len(all)-i:]; utf8.RuneStart(last[0]) {
			if !utf8.FullRune(last) {
				whole -= i
			}
			break
		}
	}
	_, _ = e.cells.Write(all[:whole])
	e.rest = bytes.Clone(all[whole:])
	close(e.changed)
	e.changed = make(chan struct{})
}

// screen is what stands on the screen, a line a row, without the spaces at the ends.
func (e *emulator) screen() string {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.screenNow()
}

func (e *emulator) screenNow() string {
	rows := strings.Split(strings.TrimSuffix(e.cells.String(), "\n"), "\n")
	for i := range rows {
		rows[i] = strings.TrimRight(strings.ReplaceAll(rows[i], "\x00", " "), " ")
	}
	return strings.Join(rows, "\n")
}

// written is all that was sent to the terminal.
func (e *emulator) written() string {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.sent.String()
}

// until waits for a screen that is as wanted. It looks now and then without a change too: not all that is waited for
// shows.
func (e *emulator) until(what string, holds func(screen string) bool) {
	e.t.Helper()
	limit := time.After(patience)
	for {
		e.mu.Lock()
		screen, changed := e.screenNow(), e.changed
		e.mu.Unlock()
		if holds(screen) {
			return
		}
		select {
		case <-changed:
		case <-time.After(100 * time.Millisecond):
		case err := <-e.ended:
			e.ended <- err
			if screen := e.screen(); !holds(screen) {
				e.t.Fatalf("%s: the program ended (%v) without it:\n%s", what, err, screen)
			}
			return
		case <-limit:
			e.t.Fatalf("%s: it did not come; the screen is\n%s", what, e.screen())
		}
	}
}

// sees waits until all the texts are on the screen at once.
func (e *emulator) sees(texts ...string) {
	e.t.Helper()
	e.until(strings.Join(texts, " · "), func(screen string) bool {
		for _, text := range texts {
			if !strings.Contains(screen, text) {
				return false
			}
		}
		return true
	})
}

// rests waits until the screen has been the same for a while, and gives it: what a screen reads from the book may come
// last.
func (e *emulator) rests() string {
	e.t.Helper()
	last, since := e.screen(), time.Now()
	e.until("rest", func(screen string) bool {
		if screen != last {
			last, since = screen, time.Now()
		}
		return time.Since(since) > time.Second
	})
	return last
}

// loses waits until a text is gone from the screen.
func (e *emulator) loses(text string) {
	e.t.Helper()
	e.until("gone: "+text, func(screen string) bool { return !strings.Contains(screen, text) })
}

// row is the first row that holds a text, or nothing.
func (e *emulator) row(text string) string {
	for line := range strings.SplitSeq(e.screen(), "\n") {
		if strings.Contains(line, text) {
			return line
		}
	}
	return ""
}

// press sends keys, all in one piece.
func (e *emulator) press(keys ...string) {
	e.t.Helper()
	if _, err := e.pty.WriteString(strings.Join(keys, "")); err != nil {
		e.t.Fatal(err)
	}
}

// resize gives the terminal another size; the cells first, as a terminal that is drawn to does.
func (e *emulator) resize(w, h int) {
	e.t.Helper()
	e.mu.Lock()
	e.cells.Resize(w, h)
	e.mu.Unlock()
	if err := pty.Setsize(e.pty, &pty.Winsize{Rows: uint16(h), Cols: uint16(w)}); err != nil {
		e.t.Fatal(err)
	}
}

// wrapped reports whether anything ran over the end of a row and went on in the next.
func (e *emulator) wrapped() bool {
	const wrappedCell = 1 << 6 // vt10x marks the last cell of a row so
	e.mu.Lock()
	defer e.mu.Unlock()
	w, h := e.cells.Size()
	for y := range h {
		if e.cells.Cell(w-1, y).Mode&wrappedCell != 0 {
			return true
		}
	}
	return false
}

// onOwnScreen reports whether the program still has the screen for itself, and whether the cursor is hidden.
func (e *emulator) modes() (own, hidden bool) {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.cells.Mode()&vt10x.ModeAltScreen != 0, !e.cells.CursorVisible()
}

// end waits until the program ends by itself.
func (e *emulator) end() error {
	e.t.Helper()
	select {
	case err := <-e.ended:
		return err
	case <-time.After(patience):
		e.t.Fatalf("it does not end; the screen is\n%s", e.screen())
		return nil
	}
}

// leaves waits until the program ends, well, with the terminal put back in order.
func (e *emulator) leaves() {
	e.t.Helper()
	if err := e.end(); err != nil {
		e.t.Errorf("it ends with %v", err)
	}
	e.restored()
}

// restored checks that the terminal is as the program found it.
func (e *emulator) restored() {
	e.t.Helper()
	if own, hidden := e.modes(); own || hidden {
		e.t.Errorf("the terminal is left with the program's screen: %v, without a cursor: %v", own, hidden)
	}
}
