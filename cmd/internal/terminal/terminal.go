// Package terminal is what is known of the terminal: its letters, its size, and the line that says how far something is.
package terminal

import (
	"fmt"
	"runtime"
)

// What surrounds the book: the clock that dates every entry, and the terminal. Neither makes a book unsound; what is
// doubtful about them is told by verify.

// leastColumns and leastRows are the smallest terminal that the interface draws in.
const leastColumns, leastRows = 40, 10

// Terminal is the terminal at the other end of the results.
type Terminal struct {
	There         bool
	Name          string // TERM
	Columns, Rows int    // 0: not known
	Colour        bool
	Utf8          bool
	Locale        string // the variable that says so, with its value
}

// Doubts says what keeps the screens from being drawn well.
func (t Terminal) Doubts() (doubts []string) {
	if !t.There {
		return nil
	}
	if t.Columns > 0 && (t.Columns < leastColumns || t.Rows < leastRows) {
		doubts = append(doubts, fmt.Sprintf("the terminal has %d columns and %d rows; the interface wants %d and %d", t.Columns, t.Rows, leastColumns, leastRows))
	}
	if t.Name == "" && runtime.GOOS != "windows" || t.Name == "dumb" {
		doubts = append(doubts, fmt.Sprintf("TERM=%s: the terminal does not say that it can draw", t.Name))
	}
	if !t.Utf8 {
		doubts = append(doubts, "the locale is not UTF-8: signs are drawn in ASCII, and letters of other languages are question marks")
	}
	return doubts
}
