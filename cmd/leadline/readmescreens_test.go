//go:build unix

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// readmeScreens are the screens that the README shows, by the keys that lead to them from the glance of the invented
// log.
func readmeScreens() []readmeScreen {
	return []readmeScreen{
		{"glance", 30, "the glance: two tanks, each parameter with its level in your band, twelve weeks of readings, where " +
			"it is heading, and on top what needs you", func(e *emulator) {
			e.settles(escape)
		}},
		{"chart", 30, "the chart of phosphate: readings, band, floor and forecast over time, and below what was measured " +
			"and done", func(e *emulator) {
			e.press(enter)
			e.sees("forereef · phosphate", "7 ppb P = 0.021")
			e.settles("k")
		}},
		{"year", 32, "a year of forereef: every parameter over one time axis with its share of time in band, and what was " +
			"done", func(e *emulator) {
			e.press("y")
			e.sees("forereef · 1 year", "% in band", "water changes")
			e.settles("k")
		}},
		{"testday", 16, "a test day: what was typed, what was expected, and a slip that is asked about", func(e *emulator) {
			e.press("t")
			e.seesExpectations()
			for _, test := range []struct{ typed, next string }{{"7.5", "calcium"}, {"410", "magnesium"}, {"1330", "nitrate"},
				{"7.4", "phosphate"}} {
				e.press(test.typed, enter)
				e.sees("> " + test.next)
			}
			e.press("0.02", enter)
			e.until("four values as expected, one far off", func(screen string) bool {
				return strings.Count(screen, "as expected") == 4 && strings.Contains(screen, "? far off") &&
					strings.Contains(screen, "enter or ctrl+s keeps it as typed")
			})
		}},
	}
}

// settles waits until all that was pressed is drawn: the frame that takes the word about a wrong key away again is the
// last, and its last row is that word's. The key that does so changes nothing else.
func (e *emulator) settles(key string) {
	e.t.Helper()
	e.press("Z")
	e.sees("? shows the keys")
	e.press(key)
	e.loses("? shows the keys")
}

type readmeScreen struct {
	name string
	rows int
	says string
	goTo func(*emulator)
}

// show runs the program to the screen, on a ground.
func (s readmeScreen) show(t *testing.T, g ground) *emulator {
	t.Helper()
	h := household{folder: t.TempDir(), path: program(t)}
	h.demoBook(t)
	e := h.startIn(t, 100, s.rows, h.env(g.environment), h.path, asOfDemo()...)
	e.sees("leadline · 2 tanks", "at floor about", ">! phosphate")
	s.goTo(e)
	return e
}

// TestReadmeShowsTheScreens holds the screens of README and guide, and their pictures, against those of the program.
func TestReadmeShowsTheScreens(t *testing.T) {
	const frames = "../../testdata/frames"
	texts := make([]string, len(readmeScreens()))
	t.Run("pictures", func(t *testing.T) {
		for i, s := range readmeScreens() {
			for _, g := range grounds() {
				t.Run(s.name+"-"+g.name, func(t *testing.T) {
					t.Parallel()
					e := s.show(t, g)
					holdFile(t, filepath.Join(frames, fmt.Sprintf("readme-%s-%s.svg", s.name, g.name)), e.picture(g))
					if g.environment == "" {
						texts[i] = e.screen()
					}
				})
			}
		}
	})
	for i, s := range readmeScreens() {
		path, want := s.shownIn(texts[i])
		page, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		begin, end := "<!-- frame: "+s.name+" -->\n", "<!-- /frame -->"
		head, rest, ok := strings.Cut(string(page), begin)
		_, tail, closed := strings.Cut(rest, end)
		if !ok || !closed {
			t.Fatalf("%s has no place for %s", path, s.name)
		}
		holdFile(t, path, head+begin+want+end+tail)
	}
}

// shownIn is where a screen is shown and how: a picture for either ground, and, but in the README, the text for those
// who cannot see one.
func (s readmeScreen) shownIn(text string) (path, markup string) {
	path, frames, details := "GUIDE.md", "../../testdata/frames",
		"\n<details><summary>the same as text</summary>\n\n```\n"+text+"\n```\n\n</details>\n"
	if s.name == "glance" {
		path, frames, details = "../../README.md", "testdata/frames", ""
	}
	return path, fmt.Sprintf(`<picture>
  <source media="(prefers-color-scheme: dark)" srcset="%[3]s/readme-%[1]s-dark.svg">
  <img alt="%[2]s" src="%[3]s/readme-%[1]s-light.svg">
</picture>
`, s.name, s.says, frames) + details
}

func holdFile(t *testing.T, path, want string) {
	t.Helper()
	if *updateReadme {
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if got, err := os.ReadFile(path); err != nil || string(got) != want {
		t.Errorf("%s is not what the program shows (%v); renew it with: go test ./cmd/leadline -run "+
			"TestReadmeShowsTheScreens -update-readme", path, err)
	}
}
