package main

import (
	"fmt"
	"runtime"
	"time"

	"github.com/charmbracelet/x/term"

	"leadline/logbook"
)

// What surrounds the book: the clock that dates every entry, and the terminal. Neither makes a book unsound; what is
// doubtful about them is told by verify.

// leastColumns and leastRows are the smallest terminal that the interface draws in.
const leastColumns, leastRows = 40, 10

// terminal is the terminal at the other end of the results.
type terminal struct {
	there         bool
	name          string // TERM
	columns, rows int    // 0: not known
	colour        bool
	utf8          bool
	locale        string // the variable that says so, with its value
}

func (a *app) terminal(s *settings) terminal {
	t := terminal{there: a.hasTerminal(), name: a.env("TERM")}
	if f, ok := a.rawOut.(term.File); ok && t.there {
		if w, h, err := term.GetSize(f.Fd()); err == nil {
			t.columns, t.rows = w, h
		}
	}
	t.colour = !a.colourless(s) && t.name != "dumb" && (t.name != "" || runtime.GOOS == "windows")
	t.utf8, t.locale = utf8Locale(a.env, runtime.GOOS)
	return t
}

func (t terminal) doubts() (doubts []string) {
	if !t.there {
		return nil
	}
	if t.columns > 0 && (t.columns < leastColumns || t.rows < leastRows) {
		doubts = append(doubts, fmt.Sprintf("the terminal has %d columns and %d rows; the interface wants %d and %d", t.columns, t.rows, leastColumns, leastRows))
	}
	if t.name == "" && runtime.GOOS != "windows" || t.name == "dumb" {
		doubts = append(doubts, fmt.Sprintf("TERM=%s: the terminal does not say that it can draw", t.name))
	}
	if !t.utf8 {
		doubts = append(doubts, "the locale is not UTF-8: signs are drawn in ASCII, and letters of other languages are question marks")
	}
	return doubts
}

// clockDoubts says what makes the clock implausible: it stands before the program's own sources, or before what is in
// the book.
func clockDoubts(v *logbook.View, now time.Time, version versionJSON) (doubts []string, err error) {
	if made, err := time.Parse(time.RFC3339, version.Time); err == nil && now.Before(made.Add(-24*time.Hour)) {
		doubts = append(doubts, fmt.Sprintf("the clock stands at %s, before this program was made (%s)", whenText(now), dayText(made)))
	}
	newest, err := v.NewestAfter(now)
	if !newest.IsZero() {
		doubts = append(doubts, fmt.Sprintf("the clock stands at %s, before the newest entry (%s): is it right? what lies after it does not count yet",
			whenText(now), whenText(newest.In(now.Location()))))
	}
	return doubts, err
}

// doubtClock says once, of a command that goes by the clock, that it stands before the newest entry.
func (a *app) doubtClock(v *logbook.View) error {
	if a.asOfFlag != "" || a.lenient || a.doubted {
		return nil
	}
	a.doubted = true
	doubts, err := clockDoubts(v, a.now(), versionJSON{})
	for _, d := range doubts {
		a.say("warning: %s", d)
	}
	return err
}
