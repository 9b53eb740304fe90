package tui

import (
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"leadline/logbook"
)

// asciiApp shows the example as on a terminal that takes ASCII only.
func asciiApp(t testing.TB, w, h int) *app {
	t.Helper()
	a := newApp(Options{Now: clock, Out: io.Discard, NoColor: true, ASCII: true})
	resize(a, w, h)
	a.Update(glanceMsg{asked: a.stack[0].(*glance).asked, reports: example(t), drafts: map[string]logbook.Draft{}})
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
			if left := ownSigns().Replace(own); !isASCII(left) {
				for _, line := range strings.Split(left, "\n") {
					if !isASCII(line) {
						t.Errorf("%s at %v: no sign in ASCII for one of %q", name, s, line)
					}
				}
			}
			frame := a.View()
			if !isASCII(frame) {
				t.Errorf("%s at %v is not in ASCII:\n%s", name, s, frame)
			}
			checkFits(t, frame, s[0], s[1])
			if s[0] == 80 && (name == "glance" || name == "parameter" || name == "testday") {
				golden(t, fmt.Sprintf("%s-80x24-ascii", name), frame)
			}
		}
	}
}

func TestInASCIIKeepsWidths(t *testing.T) {
	for _, text := range []string{"0.017–0.028 mg/L", "├──●──┤ ⊥ ━━ ░░", "25.3 °C … · ≤ ≥ ± µ", "▁▂▃▄▅▆▇█", "lagoon 珊瑚", "╭●╮ ╰┄╯"} {
		got := InASCII(text)
		if !isASCII(got) || ansi.StringWidth(got) != ansi.StringWidth(text) {
			t.Errorf("%q becomes %q", text, got)
		}
	}
}
