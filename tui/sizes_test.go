package tui

import (
	"math"
	"strings"
	"testing"
	"unicode"

	"leadline/tui/part"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"
)

func inf() float64 { return math.Inf(1) }

// Every screen cuts itself to every size, keeps doing so after any keys, and lets no control character of others
// through.
func TestScreensFitAnySize(t *testing.T) {
	names := []string{}
	all := scenes()
	for n := range all {
		names = append(names, n)
	}
	press := []string{"j", "k", "up", "down", "left", "right", "h", "l", "tab", "+", "-", "w", "L", "v", "o", "n", "g",
		"G", "pgdown", "pgup", "1", ".", "esc",
		"enter", "?", "q", "ctrl+o", "ctrl+n", "ctrl+t", "ctrl+y", "ctrl+s", "x", " ", "f", "/", "backspace", "ctrl+r", ":",
		"0"}
	rapid.Check(t, func(r *rapid.T) {
		name := rapid.SampledFrom(names).Draw(r, "screen")
		a := exampleApp(t, true, rapid.IntRange(0, 200).Draw(r, "w"), rapid.IntRange(0, 70).Draw(r, "h"))
		all[name](t, a)
		for _, k := range rapid.SliceOfN(rapid.SampledFrom(press), 0, 12).Draw(r, "keys") {
			a.Update(keyNamed(k))
			frame := a.View()
			lines := strings.Split(frame, "\n")
			if len(lines) > max(1, a.h) {
				r.Fatalf("%s after %q: %d rows in %d", name, k, len(lines), a.h)
			}
			for i, l := range lines {
				if part.Width(l) > a.w {
					r.Fatalf("%s after %q: row %d is %d cells wide in %d: %q", name, k, i, part.Width(l), a.w, l)
				}
			}
			for _, c := range ansi.Strip(frame) {
				if (unicode.IsControl(c) && c != '\n') || unicode.Is(unicode.Bidi_Control, c) {
					r.Fatalf("%s: control character %U on the screen", name, c)
				}
			}
			if rapid.Bool().Draw(r, "resize") {
				resize(a, rapid.IntRange(0, 200).Draw(r, "w2"), rapid.IntRange(0, 70).Draw(r, "h2"))
			}
		}
	})
}
