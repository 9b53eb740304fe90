package logbook

import (
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

func TestClean(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"forereef", "forereef"},
		{"Größe µ °C ≤", "Größe µ °C ≤"},
		{"\x1b[31mred\x1b[0m", "red"},
		{"\x1b]0;title\x07x", "x"},
		{"a\nb\tc\r", "a b c "},
		{"a\u202Eb\u2066c\u200F", "abc"},
		{"a\u009b31mb\x00\x7f", "a31mb"},
		{"😀\uFE0F", "😀"},
		{"\xff", "\uFFFD"},
	} {
		if got := Clean(c.in); got != c.want {
			t.Errorf("%q: %q, want %q", c.in, got, c.want)
		}
	}
}

func TestCleanLeavesNoControl(t *testing.T) {
	text := rapid.StringOf(rapid.OneOf(rapid.Rune(),
		rapid.SampledFrom([]rune("\x1b[]0;m\a\u009b\u202e\u2066\r\n\t\x00P\\"))))
	rapid.Check(t, func(t *rapid.T) {
		s := text.Draw(t, "text")
		for _, r := range Clean(s) {
			if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
				t.Fatalf("%q leaves %U", s, r)
			}
		}
		if Clean(Clean(s)) != Clean(s) {
			t.Fatalf("%q is cleaned further the second time", s)
		}
	})
}
