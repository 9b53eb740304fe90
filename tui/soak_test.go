package tui

import (
	"bytes"
	"flag"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"leadline/alerts/entry"
	"leadline/logbook"
)

var (
	soaks    = flag.Int("soaks", 2, "how many sittings of random keys TestSoak has")
	soakKeys = flag.Int("soak-keys", 250, "how many keys each of them has")
)

// soak is a sitting of random keys, and what the book must hold by now.
type soak struct {
	*testing.T
	random *rand.Rand
	book   *logbook.Book
	app    *app
	lines  map[string]string // of the book, each with the ID in it: what was noted once stays
	keys   []string          // so far
	saves  int
}

// TestSoak presses random keys on every screen, types nonsense and sense, and gives the window any size. Whatever
// comes of it: every screen fits, what was noted stays in the book, the keeper is told of every save, the book is
// sound, and undo leads back to what stood there when the sitting began.
func TestSoak(t *testing.T) {
	saves, screens := 0, map[string]bool{}
	for seed := range uint64(*soaks) {
		b, a := wrongTank(t)
		s := &soak{T: t, random: rand.New(rand.NewPCG(seed, 9)), book: b, app: a}
		t.Cleanup(func() {
			if t.Failed() {
				t.Logf("seed %d, after %q", seed, s.keys)
			}
		})
		s.lines = s.inBook()
		began := standing(t, b)
		for range *soakKeys {
			s.press(s.key())
			screens[a.top().About().Title] = true
		}
		saves += s.saves
		s.undoAll()
		if now := standing(t, b); now != began {
			t.Errorf("seed %d: undone, there stands\n%s\nwant\n%s", seed, now, began)
		}
		if found, err := logbook.Verify(b.Path()); err != nil || len(found.Problems) > 0 {
			t.Errorf("seed %d: the book is not sound: %v %v", seed, err, found.Problems)
		}
		if t.Failed() {
			return
		}
	}
	t.Logf("%d keys: %d saves, screens %q", *soaks**soakKeys, saves, slices.Sorted(maps.Keys(screens)))
	if saves == 0 || len(screens) < 5 {
		t.Error("nothing was saved, or few screens were seen: the test is void")
	}
}

// key is a key of the screen on top, a key of forms, or a letter of something typed.
func (s *soak) key() string {
	switch n := s.random.IntN(100); {
	case n < 55 && !s.app.top().About().Typing:
		var keys []string
		for _, c := range append(s.app.top().Commands(), s.app.commands()...) {
			for _, k := range c.Keys {
				if k != "ctrl+c" && k != "ctrl+z" && (k != "q" || len(s.app.stack) > 1) {
					keys = append(keys, strings.ReplaceAll(k, "space", " "))
				}
			}
		}
		return keys[s.random.IntN(len(keys))]
	case n < 80:
		return s.oneOf("enter", "tab", "ctrl+s", "ctrl+s", "down", "up", "esc", "shift+tab", "ctrl+o", "y", "left", "right",
			"backspace", "ctrl+t", "ctrl+n", "end", "home", "pgdown")
	default:
		return s.oneOf("text 8.2", "text 1", "text <0.02", "text 450", "text -3", "text 1e9", "text nonsense",
			"text 2026-03-11", "text 12,5", "text mg/L", "text \u202e?", "text 9:30", "text 10 mL")
	}
}

func (s *soak) oneOf(keys ...string) string { return keys[s.random.IntN(len(keys))] }

// press presses a key, perhaps in a window of another size, and holds what came of it against what must be.
func (s *soak) press(key string) {
	s.keys = append(s.keys, key)
	if s.random.IntN(10) == 0 {
		resize(s.app, s.random.IntN(160), s.random.IntN(60))
	}
	s.app.notice = ""
	if text, is := strings.CutPrefix(key, "text "); is {
		doText(s.app, text)
	} else {
		do(s.app, key)
	}
	s.fits()
	now := s.inBook()
	ids := slices.Collect(maps.Values(now))
	for line, id := range s.lines {
		if !slices.Contains(ids, id) {
			s.Fatalf("an entry has gone from the book: %s", line)
		}
	}
	if len(now) > len(s.lines) {
		s.saves++
		moved := strings.Contains("<>", key) // a row of the glance, as is seen
		if s.app.notice == "" && !moved && s.app.w >= leastWidth && s.app.h >= leastHeight {
			s.Fatalf("something was saved and nobody was told\n%s", s.app.View())
		}
	}
	s.lines = now
}

// fits says that the frame is within the window and bears nothing that drives a terminal.
func (s *soak) fits() {
	s.Helper()
	frame := s.app.View()
	checkFits(s, frame, s.app.w, max(1, s.app.h))
	if strings.ContainsRune(ansi.Strip(frame), '\u202e') {
		s.Fatal("a mark that turns the text round is on the screen")
	}
}

// inBook is every line of the book, with the ID in it: entries, struck ones, strikes, definitions.
func (s *soak) inBook() map[string]string {
	s.Helper()
	var out bytes.Buffer
	if err := s.book.View(func(v *logbook.View) error {
		return logbook.WriteJSONL(&out, v, logbook.ExportOptions{})
	}); err != nil {
		s.Fatal(err)
	}
	lines := map[string]string{}
	for line := range strings.Lines(out.String()) {
		_, id, _ := strings.Cut(line, `"id":"`)
		lines[line], _, _ = strings.Cut(id, `"`)
	}
	return lines
}

// undoAll takes back all saves of the sitting. One that is no longer to be undone is passed over, as by the key.
func (s *soak) undoAll() {
	for {
		last := s.book.Saved()
		if last.Number <= s.app.undo.began {
			return
		}
		if entry.NotUndone(last) != "" {
			s.book.PassOver(last.Number)
			continue
		}
		if _, err := s.book.Undo(last.Number, logbook.Strike{Time: noon}); err != nil {
			s.Fatalf("undo of save %d: %v", last.Number, err)
		}
	}
}
