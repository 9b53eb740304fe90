// Package quietstart keeps a library from asking the terminal questions while the program starts.
//
// The screen library asks the terminal for its background colour in its package initialisation, in every command, and
// waits up to five seconds for an answer that some terminals never give. It does not ask a terminal of the type
// "dumb". This package says so for the time of the initialisation; main puts the true type back first of all.
//
// It must import nothing but os: Go initialises a package as soon as all its imports are, so fewer imports is earlier.
package quietstart

import "os"

// The one package variable of the program that holds state: there is no other way to act before another package's
// initialisation and to remember what was there.
var (
	term, known = silence()
)

func silence() (string, bool) {
	t, ok := os.LookupEnv("TERM")
	os.Setenv("TERM", "dumb")
	return t, ok
}

// Restore puts the terminal type back. It is to be the first thing main does.
func Restore() {
	if known {
		os.Setenv("TERM", term)
	} else {
		os.Unsetenv("TERM")
	}
}
