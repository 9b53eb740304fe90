package app

import (
	"fmt"
	"regexp"
	"strings"

	"leadline/alerts/words"
	"leadline/cmd/internal/terminal"
)

// The plain mode is the program for a screen reader, and for a terminal that only takes lines: no cursor is moved,
// nothing is drawn or coloured, and whatever there is to say comes as a sentence on a line of its own.

// Plain reports whether sentences were asked for, once or for always.
func (a *App) Plain() bool {
	set, _ := a.Settings() // what is wrong in the file is said by what depends on it
	return a.PlainFlag || a.Switched("LEADLINE_PLAIN", set.Plain)
}

// Talks reports whether the plain mode takes the place of the screens: when it was asked for, and where the terminal
// cannot draw.
func (a *App) Talks() bool { return a.Plain() || a.Env("TERM") == "dumb" }

// Sentence prints a sentence on a line of its own. A terminal gets it broken between words: by itself it would break it
// inside of one, and half words would be read aloud.
func (a *App) Sentence(format string, args ...any) {
	text := InSpokenWords(fmt.Sprintf(format, args...))
	if terminal.IsTerminal(a.RawOut) {
		text = strings.Join(words.Wrap(text, a.Columns(), 0), "\n")
	}
	a.Printf("%s", text)
}

// InSpokenWords writes out the signs that are read aloud wrong or not at all. A dash between numbers is a range.
func InSpokenWords(text string) string {
	text = regexp.MustCompile(`(\d)–([-+\d])`).ReplaceAllString(text, "$1 to $2")
	return strings.NewReplacer("–", "-", "—", "none", "…", "...", "↗", "rising", "↘", "falling", "→", "to", "≤", "at most ", "≥", "at least ", "·", "none").Replace(text)
}
