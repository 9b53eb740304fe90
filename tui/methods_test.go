package tui

import (
	"slices"
	"testing"

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
		m := all[slices.IndexFunc(all, func(m logbook.Method) bool { return m.Name == "drop kit" && m.Parameter == "alkalinity" })]
		if m.Step != 0.1 || m.SD != 0.15 || m.Unit != "dKH" {
			t.Errorf("%+v; the screen says\n%s", m, a.View())
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
