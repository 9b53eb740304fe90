// Package terminal is what is known of the terminal: its letters, its size, and the line that says how far something
// is.
package terminal

import (
	"fmt"
	"io"
	"os"
	"runtime"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/term"

	"leadline/alerts/picture"
)

// What surrounds the book: the clock that dates every entry, and the terminal. Neither makes a book unsound; what is
// doubtful about them is told by verify.

// leastColumns and leastRows are the smallest terminal that the interface draws in.
const leastColumns, leastRows = 40, 10

// Terminal is the terminal at the other end of the results.
type Terminal struct {
	There   bool   `json:"terminal"`
	Name    string `json:"term"`    // TERM
	Columns int    `json:"columns"` // 0: not known
	Rows    int    `json:"rows"`
	Colour  bool   `json:"colour"`
	Utf8    bool   `json:"utf8"`
	Locale  string `json:"locale"` // the variable that says which letters are in use, with its value
}

// Doubts says what keeps the screens from being drawn well.
func (t Terminal) Doubts() (doubts []string) {
	if !t.There {
		return nil
	}
	if t.Columns > 0 && (t.Columns < leastColumns || t.Rows < leastRows) {
		doubts = append(doubts, fmt.Sprintf("the terminal has %d columns and %d rows; the interface wants %d and %d",
			t.Columns, t.Rows, leastColumns, leastRows))
	}
	if t.Name == "" && runtime.GOOS != "windows" || t.Name == "dumb" {
		doubts = append(doubts, fmt.Sprintf("TERM=%s: the terminal does not say that it can draw", t.Name))
	}
	if !t.Utf8 {
		doubts = append(doubts, "the locale is not UTF-8: signs are drawn in ASCII, and letters of other languages are "+
			"question marks")
	}
	return doubts
}

// IsTerminal reports whether an end of the program is a terminal.
func IsTerminal(end any) bool {
	if w, is := end.(*Rewriter); is {
		end = w.To
	}
	f, ok := end.(*os.File)
	return ok && term.IsTerminal(f.Fd())
}

// Size is that of the terminal at an end of the program; 0, 0 where there is none.
func Size(end any) (columns, rows int) {
	if w, is := end.(*Rewriter); is {
		end = w.To
	}
	if f, ok := end.(term.File); ok {
		if w, h, err := term.GetSize(f.Fd()); err == nil {
			return w, h
		}
	}
	return 0, 0
}

// Utf8Locale reports whether the locale's letters are UTF-8, and which variable says so: the first of LC_ALL,
// LC_CTYPE and LANG that is set and not empty (IEEE 1003.1, chapter 8.2).
//
// Where none is set, POSIX means the locale C, and so do we: signs that are ASCII by mistake can be read, the other way
// round they cannot. Windows and macOS do not tell a terminal by these variables; theirs take UTF-8.
func Utf8Locale(env func(string) string, system string) (utf8 bool, said string) {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if value := env(name); value != "" {
			lower := strings.ToLower(value)
			return strings.Contains(lower, "utf-8") || strings.Contains(lower, "utf8"), name + "=" + value
		}
	}
	return system == "windows" || system == "darwin", ""
}

// ForTerminal is an end of the program as results are written to it: to a terminal without Unicode they go in ASCII,
// to a file or another program as they are.
func ForTerminal(out io.Writer, env func(string) string) io.Writer {
	if utf8, _ := Utf8Locale(env, runtime.GOOS); !utf8 && IsTerminal(out) {
		return &Rewriter{To: out, Rewrite: picture.InASCII}
	}
	return out
}

// Rewriter writes a text in other characters. It hands on whole characters only.
type Rewriter struct {
	To      io.Writer
	Rewrite func(string) string
	rest    []byte // the begin of a character of which the end is still to come
}

func (w *Rewriter) Write(p []byte) (int, error) {
	all := append(w.rest, p...)
	whole := len(all)
	for i := 1; i <= min(utf8.UTFMax-1, len(all)); i++ {
		if last := all[len(all)-i:]; utf8.RuneStart(last[0]) {
			if !utf8.FullRune(last) {
				whole -= i
			}
			break
		}
	}
	w.rest = append([]byte(nil), all[whole:]...)
	if _, err := io.WriteString(w.To, w.Rewrite(string(all[:whole]))); err != nil {
		return 0, err
	}
	return len(p), nil
}
