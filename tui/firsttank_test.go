package tui

import (
	"path/filepath"
	"testing"

	"leadline/tui/part"
)

// The tank to begin with: the one asked for, else the one that was open, else the usual one, else the first.
func TestFirstTank(t *testing.T) {
	b, file := twoTanks(t), filepath.Join(t.TempDir(), "place.json")
	first := func(asked, usual, file string) string {
		a := newApp(Options{Book: b, Now: clock, NoColor: true, PlaceFile: file, Tank: asked, UsualTank: usual})
		resize(a, 120, 40)
		begin(a)
		tank, _ := a.top().(*glance).place()
		return tank
	}
	for _, c := range []struct{ name, asked, usual, file, want string }{
		{"nothing said, no place", "", "", file, "forereef"},
		{"usual, no place", "", "lagoon", file, "lagoon"},
		{"asked, nothing kept", "lagoon", "forereef", "", "lagoon"},
		{"a tank that is not there", "mooring", "", file, "forereef"},
	} {
		if got := first(c.asked, c.usual, c.file); got != c.want {
			t.Errorf("%s: begins with %q, want %q", c.name, got, c.want)
		}
	}
	book := (&app{env: &part.Env{Options: Options{Book: b}}}).bookKey()
	if err := readPlaces(file).keep(file, book, part.Place{Tank: "lagoon", Left: noon}); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, asked, usual, want string }{
		{"the place before the usual", "", "forereef", "lagoon"},
		{"asked before the place", "forereef", "", "forereef"},
	} {
		if got := first(c.asked, c.usual, file); got != c.want {
			t.Errorf("%s: begins with %q, want %q", c.name, got, c.want)
		}
	}
}
