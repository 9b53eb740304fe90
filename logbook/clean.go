package logbook

import (
	"strings"
	"unicode"

	"github.com/charmbracelet/x/ansi"
)

// Clean makes text of others safe to draw and print on one line. Terminal commands go, and so do control characters,
// marks that turn the direction of writing, and the marks that choose between text and emoji (terminals disagree about
// their width). Line ends and tabs become blanks; bytes that are not UTF-8 become U+FFFD. Text is kept as typed in the
// book: Clean is for the way out.
func Clean(s string) string {
	if isPlain(s) {
		return s
	}
	s = strings.ToValidUTF8(s, "\uFFFD")
	return strings.Map(cleanRune, ansi.Strip(s))
}

// isPlain reports whether s is printable ASCII alone.
func isPlain(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}

func cleanRune(r rune) rune {
	switch {
	case r == '\n' || r == '\t' || r == '\r' || r == '\u2028' || r == '\u2029':
		return ' '
	case r == '\u200D' || r == '\u200C': // joiners: emoji and several scripts are spelled with them
		return r
	case unicode.Is(unicode.Cc, r), unicode.Is(unicode.Cf, r), // controls; direction marks and other invisible formats
		r == '\uFE0E', r == '\uFE0F':
		return -1
	}
	return r
}

// quote is a value as a message repeats it: cleaned, cut and in quotation marks.
func quote(s string) string { return `"` + cut(s) + `"` }

// cut is the beginning of a long text, cleaned.
func cut(s string) string {
	const longest = 40
	if len(s) > 16*longest {
		s = s[:16*longest]
	}
	s = Clean(s)
	if r := []rune(s); len(r) > longest {
		s = string(r[:longest]) + "…"
	}
	return s
}
