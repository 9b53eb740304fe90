package tui

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"leadline/testdata/shown"
)

// Every screen is in the units that are set, and what is typed on it is too; only what was typed stays as it was, with
// what it is behind it.
func TestShownOnTheScreens(t *testing.T) {
	b := shown.Book(t)
	b.ShowIn(shown.Units())
	for _, size := range [][2]int{{80, 24}, {120, 40}} {
		for i, p := range shown.Parameters() {
			a := newApp(Options{Book: b, Now: func() time.Time { return shown.AsOf }, NoColor: true})
			resize(a, size[0], size[1])
			settleAll(a, a.top().Init())
			looks := func(of string) {
				t.Helper()
				lines := strings.Split(ansi.Strip(a.View()), "\n")
				lines = slices.DeleteFunc(lines, func(line string) bool { return strings.Contains(line, " = ") })
				shown.Check(t, a.top().About().Title, of, strings.Join(lines, "\n"))
			}
			looks("")
			for _, key := range []string{"a", "y", "X", "t"} {
				do(a, key)
				looks("")
				do(a, "esc")
			}
			do(a, "enter")
			for range shown.Parameters() {
				if strings.Contains(a.top().About().Title, p) {
					break
				}
				do(a, "tab")
			}
			looks(p)
			for _, key := range []string{"W", "U", "H", "v"} {
				do(a, key)
				looks(p)
			}
			for _, key := range []string{"b", "i", "P", "D"} {
				do(a, key)
				looks(p)
				do(a, "esc")
			}
			if i == 0 { // the first band is in dKH in the book
				do(a, "b")
				frame := strings.Join(strings.Fields(ansi.Strip(a.View())), " ")
				if want := "low 2.675"; !strings.Contains(frame, want) || !strings.Contains(frame, "unit meq/L") {
					t.Errorf("%q and its unit are not in %s", want, frame)
				}
			}
		}
	}
}
