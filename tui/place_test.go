package tui

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
	"leadline/tui/part"
)

// twoTanks is tankBook with a second tank that measures nitrate.
func twoTanks(t testing.TB) *logbook.Book {
	t.Helper()
	b := tankBook(t)
	p := parameter(t, "nitrate")
	recs := []logbook.Record{logbook.Tank{Name: "lagoon", Timezone: "Pacific/Auckland"}}
	for i, v := range []string{"2.5", "4", "3.1"} {
		r, err := logbook.ParseReading(p, v, "mg/L")
		if err != nil {
			t.Fatal(err)
		}
		r.Time, r.Tank = noon.AddDate(0, 0, -7*(i+1)), "lagoon"
		recs = append(recs, r)
	}
	if _, err := b.Append(recs...); err != nil {
		t.Fatal(err)
	}
	return b
}

func placedApp(b *logbook.Book, file string) *app {
	a := newApp(Options{Book: b, Now: clock, NoColor: true, PlaceFile: file})
	resize(a, 120, 40)
	return a
}

// begin starts an app but for its clock.
func begin(a *app) { settleAll(a, tea.Batch(a.findPlace(), a.top().Init())) }

// The interface opens where it was left: screen, tank, parameter, stretch of time, scale and what is laid over.
func TestPlaceIsKept(t *testing.T) {
	b, file := twoTanks(t), filepath.Join(t.TempDir(), "state", "leadline", "place.json")
	a := placedApp(b, file)
	begin(a)
	g := a.top().(*glance)
	g.goTo("forereef", "nitrate")
	do(a, "enter", "+", "L", "O")
	a.keepPlace()
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Fatalf("the place is kept as %v (%v)", info, err)
	}
	a = placedApp(b, file)
	begin(a)
	p, on := a.top().(*parameterScreen)
	if !on || p.tank.Name != "forereef" || p.name != "nitrate" || zooms()[p.span.zoom] != 28 || !p.log ||
		p.over.name != "nitrate" || p.over.tank != "lagoon" {
		t.Fatalf("opened %s: %+v", a.top().About().Title, p)
	}
	if tank, at := a.stack[0].(*glance).place(); tank != "forereef" || at != "nitrate" {
		t.Errorf("below it the cursor is on %s of %s", at, tank)
	}
	do(a, "esc")
	a.stack[0].(*glance).goTo("lagoon", "nitrate")
	a.keepPlace()
	a = placedApp(b, file)
	begin(a)
	if tank, _ := a.top().(*glance).place(); tank != "lagoon" {
		t.Errorf("the glance opens on %s", tank)
	}
	for key, title := range map[string]string{"a": "alerts", "J": "lagoon · journal", "s": "chores", "X": "what changed",
		"#": "lagoon · table", "y": "lagoon · 1 year"} {
		do(a, key)
		a.keepPlace()
		again := placedApp(b, file)
		begin(again)
		if got := again.top().About().Title; !strings.Contains(got, title) {
			t.Errorf("%s leads to %q again, want %q", key, got, title)
		}
		do(a, "esc")
	}
}

// Whatever stands in the file, the start is as good as without it.
func TestStrangePlacesAreIgnored(t *testing.T) {
	b := twoTanks(t)
	at := func(fields string) string { return fmt.Sprintf(`{"places":{%q:{%s}}}`, b.Path(), fields) }
	for name, text := range map[string]string{
		"empty": "", "rubbish": "\x00\xff{", "list": "[]", "null": "null", "other shape": `{"places":[1]}`,
		"wrong type":        at(`"tank":7`),
		"tank gone":         at(`"tank":"backreef","screen":"chart","parameter":"nitrate"`),
		"parameter gone":    at(`"tank":"lagoon","screen":"chart","parameter":"calcium"`),
		"screen unheard of": at(`"tank":"forereef","screen":"moon"`),
		"no tank":           at(`"screen":"journal"`),
	} {
		file := filepath.Join(t.TempDir(), "place.json")
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		a := placedApp(b, file)
		begin(a)
		if _, on := a.top().(*glance); !on || a.failure != "" || a.notice != "" || !strings.Contains(a.View(), "forereef") {
			t.Errorf("%s: %s, %q %q", name, a.top().About().Title, a.failure, a.notice)
		}
		a.keepPlace()
		if len(readPlaces(file).Places) != 1 {
			t.Errorf("%s: no place is kept afterwards", name)
		}
	}
	// A chart of which only the rest is strange opens with what is usual.
	file := filepath.Join(t.TempDir(), "place.json")
	if err := os.WriteFile(file,
		[]byte(at(`"tank":"lagoon","screen":"chart","parameter":"nitrate","days":17,"over":"gold","over_tank":"moon"`)),
		0o600); err != nil {
		t.Fatal(err)
	}
	a := placedApp(b, file)
	begin(a)
	if p, on := a.top().(*parameterScreen); !on || zooms()[p.span.zoom] != 84 || p.over.name != "" || a.failure != "" {
		t.Errorf("%s: %q", a.top().About().Title, a.failure)
	}
	// A folder in the place of the file, and none to write to.
	a = placedApp(b, t.TempDir())
	begin(a)
	a.keepPlace()
}

// A keeper who was quicker than the file is not carried off.
func TestPlaceDoesNotCarryOff(t *testing.T) {
	b, file := twoTanks(t), filepath.Join(t.TempDir(), "place.json")
	a := placedApp(b, file)
	begin(a)
	do(a, "enter")
	a.keepPlace()
	a = placedApp(b, file)
	late := a.findPlace()()
	settleAll(a, a.top().Init())
	do(a, "j")
	_, cmd := a.Update(late)
	settleAll(a, cmd)
	if _, on := a.top().(*glance); !on {
		t.Errorf("carried off to %s", a.top().About().Title)
	}
}

// Other books keep their places, the newest of them; without a file nothing is written.
func TestPlacesOfManyBooks(t *testing.T) {
	file := filepath.Join(t.TempDir(), "place.json")
	for i := range mostPlaces + 5 {
		if err := readPlaces(file).keep(file, fmt.Sprint(i),
			part.Place{Tank: "forereef", Left: noon.AddDate(0, 0, i)}); err != nil {
			t.Fatal(err)
		}
	}
	ps := readPlaces(file).Places
	if _, oldest := ps["4"]; oldest || len(ps) != mostPlaces || ps["54"].Tank != "forereef" {
		t.Errorf("%d places are kept", len(ps))
	}
	a := placedApp(twoTanks(t), "")
	if a.findPlace() != nil {
		t.Error("a place is looked for where none is kept")
	}
	begin(a)
	a.keepPlace()
}
