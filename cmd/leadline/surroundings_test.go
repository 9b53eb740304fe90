package main

import (
	"io"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/creack/pty"
)

// TestVerifySeesTheTerminal runs verify in terminals of two sizes.
func TestVerifySeesTheTerminal(t *testing.T) {
	path, book := program(t), testBook(t)
	for _, c := range []struct {
		columns, rows uint16
		env           []string
		want, not     string
	}{
		{120, 40, []string{"TERM=xterm-256color", "LC_ALL=C.UTF-8", "NO_COLOR="}, "120 columns, 40 rows", "doubt"},
		{30, 8, []string{"TERM=xterm-256color", "LC_ALL=C.UTF-8"},
			"the terminal has 30 columns and 8 rows; the interface wants 40 and 10", ""},
		{80, 24, []string{"TERM=dumb", "LC_ALL=C.UTF-8"}, "TERM=dumb: the terminal does not say that it can draw", ""},
		{80, 24, []string{"TERM=xterm", "LC_ALL=C"}, "the locale is not UTF-8", ""},
	} {
		cmd := exec.Command(path, "verify")
		cmd.Env = append(append(os.Environ(), "LEADLINE_BOOK="+book.Path()), c.env...)
		f, err := pty.StartWithSize(cmd, &pty.Winsize{Cols: c.columns, Rows: c.rows})
		if err != nil {
			t.Fatal(err)
		}
		out, _ := io.ReadAll(f) // ends with an error of its own when the other end is closed
		f.Close()
		if err := cmd.Wait(); err != nil {
			t.Errorf("%v: %v: %s", c.env, err, out)
		}
		text := strings.Join(strings.Fields(string(out)), " ") // a narrow terminal gets it on several lines
		if !strings.Contains(text, c.want) || c.not != "" && strings.Contains(string(out), c.not) {
			t.Errorf("%v at %d×%d: %s", c.env, c.columns, c.rows, out)
		}
	}
}
