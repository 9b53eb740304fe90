package tui

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"leadline/alerts/picture"
	"leadline/logbook"
)

// asciiApp shows the example as on a terminal that takes ASCII only.
func asciiApp(t testing.TB, w, h int) *app {
	t.Helper()
	a := newApp(Options{Now: clock, Out: io.Discard, NoColor: true, ASCII: true})
	resize(a, w, h)
	a.home.look(glimpse{reports: example(t), drafts: map[string]logbook.Draft{}})
	return a
}

// Every sign of ours has one in ASCII, as wide, on every screen; only what others wrote becomes question marks.
func TestScreensInASCII(t *testing.T) {
	for name, show := range scenes() {
		for _, s := range sizes() {
			a := asciiApp(t, s[0], s[1])
			show(t, a)
			own := ansi.Strip(a.frame())
			for _, r := range []string{"珊瑚", "珊"} { // the name of a tank
				own = strings.ReplaceAll(own, r, "")
			}
			for _, line := range strings.Split(own, "\n") {
				if strings.Count(picture.InASCII(line), "?") > strings.Count(line, "?") {
					t.Errorf("%s at %v: no sign in ASCII for one of %q", name, s, line)
				}
			}
			frame := a.View()
			if strings.ContainsFunc(frame, func(r rune) bool { return r >= 0x80 }) {
				t.Errorf("%s at %v is not in ASCII:\n%s", name, s, frame)
			}
			checkFits(t, frame, s[0], s[1])
			if s[0] == 80 && (name == "glance" || name == "parameter" || name == "testday") {
				golden(t, fmt.Sprintf("%s-80x24-ascii", name), frame)
			}
		}
	}
}
