package main

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"

	"leadline/cmd/internal/terminal"
	"leadline/cmd/internal/usage"
)

// TestProgressOnATerminal imports from a pipe that stands still: on a terminal the line appears after half a second, is
// drawn at most ten times a second, and is gone at the end; an interrupt leaves neither a line nor a book.
func TestProgressOnATerminal(t *testing.T) {
	path := program(t)
	const header = "time,tank,parameter,value,unit\n2026-03-07T09:10:00Z,lagoon,no3,4.2,mg/L\n"
	for _, interrupt := range []bool{false, true} {
		book := filepath.Join(t.TempDir(), "my.book")
		cmd := exec.Command(path, "--book", book, "import", "-")
		cmd.Env = append(os.Environ(), "NO_COLOR=1", "HOME="+t.TempDir())
		master, slave, err := pty.Open()
		if err != nil {
			t.Skipf("no pseudo-terminal here: %v", err)
		}
		in, err := cmd.StdinPipe()
		if err != nil {
			t.Fatal(err)
		}
		cmd.Stderr = slave
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		slave.Close()
		shown := watchScreen(master)
		start := time.Now()
		_, _ = io.WriteString(in, header)
		shown.wait(t, "reading ...")
		if interrupt {
			_ = cmd.Process.Signal(os.Interrupt)
		} else {
			in.Close()
		}
		err = cmd.Wait()
		took := time.Since(start)
		for range shown.more { // until all is read
		}
		text := shown.String()
		master.Close()
		if !strings.Contains(text, "\rreading ...") || !strings.HasSuffix(text, "\r") || strings.ContainsRune(text, 0x1b) {
			t.Errorf("the terminal got %q", text)
		}
		if drawn := strings.Count(text, "reading ..."); drawn > int(took/terminal.ProgressEvery)+1 {
			t.Errorf("drawn %d times in %v", drawn, took)
		}
		_, statErr := os.Lstat(book)
		if interrupt {
			if code := cmd.ProcessState.ExitCode(); code != usage.ExitInterrupted || statErr == nil {
				t.Errorf("interrupted: exit code %d, and the book is there: %v", code, statErr == nil)
			}
		} else if err != nil || statErr != nil {
			t.Errorf("%v, %v", err, statErr)
		}
	}
}
