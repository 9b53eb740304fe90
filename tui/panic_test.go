//go:build unix

package tui

import (
	"context"
	"errors"
	"io"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/creack/pty"

	"leadline/logbook"
	"leadline/tui/part"
)

// brokenScreen has a fault of the program: where it is told to, in what a key does at once or in a command of it.
type brokenScreen struct {
	part.Screen
	inCommand bool
}

func (b brokenScreen) Commands() []part.Command {
	return []part.Command{part.On("k", "break", func() tea.Cmd {
		if b.inCommand {
			return (&part.Env{Options: Options{Book: b.Screen.(*glance).Book}}).Read(func(*logbook.View) (tea.Msg, error) {
				panic("a broken command")
			})
		}
		panic("a broken screen")
	})}
}

// runBroken runs the interface with a broken screen in a pseudo-terminal, and lets it be driven by keys.
func runBroken(t *testing.T, inCommand bool, drive func(in io.Writer, seen func(string))) (written string, err error) {
	t.Helper()
	ours, theirs, err := pty.Open()
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	defer ours.Close()
	if err := pty.Setsize(ours, &pty.Winsize{Rows: 24, Cols: 80}); err != nil {
		t.Fatal(err)
	}
	opt := Options{Book: tankBook(t), Now: clock, In: theirs, Out: theirs}
	a := newApp(opt)
	a.stack[0] = brokenScreen{a.stack[0], inCommand}
	ended := make(chan error, 1)
	go func() {
		_, err := newProgram(context.Background(), a, opt).Run()
		theirs.Close()
		ended <- err
	}()
	var mu sync.Mutex
	var all strings.Builder
	read := make(chan struct{})
	go func() {
		defer close(read)
		buffer := make([]byte, 4096)
		for {
			n, err := ours.Read(buffer)
			mu.Lock()
			all.Write(buffer[:n])
			mu.Unlock()
			if err != nil {
				return
			}
		}
	}()
	drive(ours, func(text string) {
		t.Helper()
		for end := time.Now().Add(20 * time.Second); ; time.Sleep(5 * time.Millisecond) {
			mu.Lock()
			found := strings.Contains(all.String(), text)
			mu.Unlock()
			if found {
				return
			}
			if time.Now().After(end) {
				t.Fatalf("no %q in %q", text, tailOf(all.String()))
			}
		}
	})
	err = <-ended
	<-read
	return all.String(), err
}

func tailOf(s string) string { return s[max(0, len(s)-2000):] }

// A fault in a screen ends the program, but not before the terminal is put back in order.
func TestPanicRestoresTheTerminal(t *testing.T) {
	if testing.Short() {
		t.Skip("after a panic the library closes its reader while another goroutine of its own reads; the race detector, " +
			"which runs the short tests, would report that")
	}
	out, err := runBroken(t, false, func(in io.Writer, seen func(string)) {
		seen("alkalinity")
		_, _ = io.WriteString(in, "k")
	})
	if !errors.Is(err, tea.ErrProgramPanic) {
		t.Errorf("the program ends with %v", err)
	}
	for _, code := range []string{"\x1b[?1049l", "\x1b[?25h"} {
		if !strings.Contains(tailOf(out), code) {
			t.Errorf("the terminal was left without %q", code)
		}
	}
	if left, shown := strings.LastIndex(out, "\x1b[?1049l"), strings.Index(out, "a broken screen"); shown >= 0 &&
		shown < left {
		t.Error("what went wrong was written to the program's own screen, which is gone")
	}
}

// A fault in a command of a screen, such as a look into the book, is told and ends nothing.
func TestPanicInACommandIsTold(t *testing.T) {
	out, err := runBroken(t, true, func(in io.Writer, seen func(string)) {
		seen("alkalinity")
		_, _ = io.WriteString(in, "k")
		seen("! a fault of the program: a broken command")
		_, _ = io.WriteString(in, "\x03")
	})
	if err != nil {
		t.Errorf("the program ends with %v", err)
	}
	if !strings.Contains(tailOf(out), "\x1b[?1049l") {
		t.Error("the terminal was left on the program's own screen")
	}
}
