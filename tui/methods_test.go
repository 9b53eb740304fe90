package tui

import (
	"slices"
	"strings"
	"testing"
	"time"

	"leadline/logbook"
)

// A method is described from the glance, and a reading by it is then described to the engine.
func TestMethodForm(t *testing.T) {
	b, a, _ := formBook(t)
	do(a, "M")
	doText(a, "drop kit")
	do(a, "enter", "enter")
	doText(a, "0.1")
	do(a, "enter")
	doText(a, "0.15")
	do(a, "ctrl+s")
	err := b.View(func(v *logbook.View) error {
		all, err := v.Methods()
		m := all[slices.IndexFunc(all, func(m logbook.Method) bool {
			return m.Name == "drop kit" && m.Parameter == "alkalinity"
		})]
		if m.Step != 0.1 || m.SD != 0.15 || m.Unit != "dKH" {
			t.Errorf("%+v; the screen says\n%s", m, a.View())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// A tank is renamed, taken out of use and brought back where it is described; it leaves the glance and keeps all.
func TestTankNameAndUse(t *testing.T) {
	b, a, _ := formBook(t)
	if _, err := b.Append(logbook.Tank{Name: "lagoon"}); err != nil {
		t.Fatal(err)
	}
	do(a, "T", "up")
	doText(a, " two")
	do(a, "ctrl+s")
	named := func(name string, inUse bool) {
		t.Helper()
		err := b.View(func(v *logbook.View) error {
			tank, err := v.Tank("forereef")
			if rs, _ := v.Readings("forereef", "alkalinity", time.Time{}, time.Time{}); tank.Name != name ||
				tank.InUse(noon) != inUse || len(rs) == 0 {
				t.Errorf("%+v with %d readings", tank, len(rs))
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	named("forereef two", true)
	use := func(text string) {
		t.Helper()
		do(a, "T", "up", "up")
		doText(a, text)
		do(a, "ctrl+s")
	}
	if use("maybe"); !strings.Contains(a.View(), "yes or no?") {
		t.Errorf("no answer:\n%s", a.View())
	}
	do(a, "esc", "esc")
	use("no")
	named("forereef two", false)
	if g := a.stack[0].(*glance); len(g.reports) != 1 || g.reports[0].Tank.Name != "lagoon" {
		t.Errorf("the glance shows %d tanks", len(g.reports))
	}
	by := newApp(Options{Book: b, Now: clock, NoColor: true, Tank: "forereef two"})
	resize(by, 120, 40)
	begin(by)
	if g := by.stack[0].(*glance); len(g.reports) != 2 {
		t.Errorf("asked for by name, the glance shows %d tanks", len(g.reports))
	}
	a = by
	use("yes")
	named("forereef two", true)
}

// A second tank gets the bands and the zone of the first, and a name in other letters is the first.
func TestNewTankLikeTheFirst(t *testing.T) {
	b, a, _ := formBook(t)
	low := 3.0
	if _, err := b.Append(logbook.Tank{Name: "forereef", Timezone: "Pacific/Auckland",
		Bands: map[string]logbook.Band{"nitrate": {Low: &low}}}); err != nil {
		t.Fatal(err)
	}
	do(a, "n")
	doText(a, "ForeReef")
	if do(a, "ctrl+s"); !strings.Contains(a.View(), "there is a tank forereef already") {
		t.Errorf("the same name in other letters:\n%s", a.View())
	}
	doText(a, " two")
	do(a, "ctrl+s")
	err := b.View(func(v *logbook.View) error {
		tank, err := v.Tank("ForeReef two")
		if tank.Timezone != "Pacific/Auckland" || tank.Bands["nitrate"].Low == nil {
			t.Errorf("%+v", tank)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestTankForm(t *testing.T) {
	b, a, _ := formBook(t)
	do(a, "T", "backspace", "backspace", "backspace")
	doText(a, "430")
	do(a, "enter")
	doText(a, "Pacific/Auckland")
	do(a, "ctrl+s")
	err := b.View(func(v *logbook.View) error {
		tank, err := v.Tank("forereef")
		if tank.VolumeL != 430 || tank.Timezone != "Pacific/Auckland" {
			t.Errorf("%+v", tank)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Who tests is named on the test day, stands in its row of the time, and is noted with the readings and with what is
// done after.
func TestWhoTests(t *testing.T) {
	b, a, tank := formBook(t)
	do(a, "t", "ctrl+p")
	doText(a, "ann")
	do(a, "ctrl+s")
	if view := a.View(); !strings.Contains(view, "by ann") {
		t.Errorf("nobody is named:\n%s", view)
	}
	doText(a, "8.1")
	do(a, "ctrl+s", "c")
	doText(a, "reactor media")
	do(a, "ctrl+s")
	err := b.View(func(v *logbook.View) error {
		rs, err := v.Readings(tank.Name, "alkalinity", time.Time{}, time.Time{})
		if n := len(rs); n != 2 || rs[0].Who != "" || rs[1].Who != "ann" {
			t.Errorf("readings: %+v", rs)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if es := entriesOf(t, b, logbook.KindChoreDone); len(es) != 1 || logbook.Who(es[0]) != "ann" {
		t.Errorf("what was done: %+v", es)
	}
}
