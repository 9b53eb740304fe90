package tui

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
)

// wrongTank is a book with a test day of eight in the lagoon, and an app that shows its glance with the lagoon chosen.
func wrongTank(t *testing.T) (*logbook.Book, *app) {
	t.Helper()
	b, err := logbook.Create(filepath.Join(t.TempDir(), "keeper.book"))
	if err != nil {
		t.Fatal(err)
	}
	recs := []logbook.Record{logbook.Tank{Name: "forereef"}, logbook.Tank{Name: "lagoon"}}
	for _, x := range [][2]string{{"alk", "7.9"}, {"ca", "420"}, {"mg", "1350"}, {"no3", "4"}, {"po4", "0.03"},
		{"sal", "35"}, {"temp", "25.4"}, {"ph", "8.1"}} {
		r, err := logbook.ParseReading(parameter(t, x[0]), x[1], "")
		if err != nil {
			t.Fatal(err)
		}
		r.Time, r.Tank = noon, "lagoon"
		recs = append(recs, r)
	}
	b.NotedBy(func() time.Time { return noon.AddDate(0, 0, -1) }, func() string { return "ann" })
	if _, err := b.Append(recs...); err != nil {
		t.Fatal(err)
	}
	b.NotedBy(clock, func() string { return "ann" })
	a := newApp(Options{Book: b, Now: clock, NoColor: true, Tank: "lagoon"})
	resize(a, 80, 24)
	settleAll(a, a.Init())
	return b, a
}

// standing says what stands in a book: for each tank and moment how many readings, and the alkalinity.
func standing(t *testing.T, b *logbook.Book) string {
	t.Helper()
	var said []string
	err := b.View(func(v *logbook.View) error {
		return v.EachReading(func(r logbook.Reading) error {
			line := words.Moment(r.Time.UTC()) + " " + r.Tank
			if r.Parameter == "alkalinity" {
				line += " " + r.Text
			}
			if n := len(said) - 1; n < 0 || !strings.HasPrefix(said[n], line) {
				said = append(said, line)
			}
			said[len(said)-1] += "+"
			return nil
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(said, " ")
}

// A slip is put right in few keys from the first screen; what is typed, a date or a value, counts as one.
func TestPutRightInFewKeys(t *testing.T) {
	day := words.Moment(noon.UTC())
	was := day + " lagoon 7.9++++++++"
	for _, c := range []struct {
		slip string
		most int
		keys []string
		want string
	}{
		{"another tank", 6, []string{"J", "r", "ctrl+o", "ctrl+s"}, day + " forereef 7.9++++++++"},
		{"another date", 8, []string{"J", "r", "enter", "text 2026-03-11", "ctrl+s"}, "2026-03-11 12:00 lagoon 7.9++++++++"},
		{"another time", 8, []string{"J", "r", "enter", "text 9:30", "ctrl+s"}, "2026-03-14 09:30 lagoon 7.9++++++++"},
		{"one value", 5, []string{"J", "enter", "r", "text 8.2", "ctrl+s"}, day + " lagoon 8.2++++++++"},
		{"one value, on the chart", 5, []string{"enter", "r", "text 8.2", "ctrl+s"}, day + " lagoon 8.2++++++++"},
		{"all of it", 8, []string{"J", "x", "ctrl+o", "ctrl+s"}, ""},
	} {
		b, a := wrongTank(t)
		if got := standing(t, b); got != was {
			t.Fatalf("the book begins with %s", got)
		}
		do(a, "g")
		for _, key := range c.keys {
			if text, is := strings.CutPrefix(key, "text "); is {
				doText(a, text)
			} else {
				do(a, key)
			}
		}
		if got := standing(t, b); got != c.want || len(c.keys) > c.most {
			t.Errorf("%s, %d keys: %s\nwant %s\n%s", c.slip, len(c.keys), got, c.want, a.View())
		}
		if !strings.Contains(a.View(), "u takes it back") {
			t.Errorf("%s: the key that takes it back is not named\n%s", c.slip, a.View())
		}
		do(a, "u")
		if got := standing(t, b); got != was {
			t.Errorf("%s, taken back: %s\nwant %s\n%s", c.slip, got, was, a.View())
		}
		do(a, "u")
		if got := standing(t, b); got != was || !strings.Contains(a.View(), "nothing to take back") {
			t.Errorf("%s: taken back is what was there before the sitting: %s\n%s", c.slip, got, a.View())
		}
	}
}

// Undo goes back save by save, definitions included.
func TestUndoOnTheScreens(t *testing.T) {
	b, a := wrongTank(t)
	was := standing(t, b)
	event := func(text string) {
		do(a, "e")
		doText(a, text)
		do(a, "ctrl+s")
	}
	event("polyps out")
	do(a, "b")
	doText(a, "7")
	do(a, "ctrl+s")
	event("snail moved")
	events := func() (n int) {
		err := b.View(func(v *logbook.View) error {
			es, err := v.Entries("lagoon", logbook.KindEvent, time.Time{}, time.Time{})
			n = len(es)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	if events() != 2 {
		t.Fatalf("%d events\n%s", events(), a.View())
	}
	do(a, "u", "u")
	if events() != 1 || !strings.Contains(a.View(), "tank lagoon as before") {
		t.Errorf("%d events after two steps back\n%s", events(), a.View())
	}
	do(a, "u")
	if events() != 0 || standing(t, b) != was {
		t.Errorf("%d events after three steps back: %s", events(), standing(t, b))
	}
	do(a, "J", "f", "f", "f", "f", "f", "x") // a struck line of the journal is brought back, and that is undone as well
	if events() != 1 || !strings.Contains(a.View(), "1 line counts again") {
		t.Errorf("%d events after one was brought back\n%s", events(), a.View())
	}
	do(a, "u")
	if events() != 0 {
		t.Errorf("%d events after that was undone\n%s", events(), a.View())
	}
	do(a, "f")
	if !strings.Contains(a.View(), "what was set") || !strings.Contains(a.View(), "alkalinity none, was low 7 high 9") ||
		!strings.Contains(a.View(), "alkalinity low 7 high 9, was none") {
		t.Errorf("the journal does not tell what was set, and set back\n%s", a.View())
	}
	if do(a, "x"); !strings.Contains(a.View(), "this is changed where it was set") {
		t.Errorf("a change is struck like a line\n%s", a.View())
	}
}
