package tui

import (
	"slices"
	"testing"

	"leadline/logbook"
)

func TestStepOrMarks(t *testing.T) {
	for _, c := range []struct {
		text  string
		step  float64
		marks []float64
	}{
		{"0.1", 0.1, nil},
		{"0 1 2 5 10", 0, []float64{0, 1, 2, 5, 10}},
		{"0, 1, 2", 0, []float64{0, 1, 2}},
		{"0,1,2,5", 0, []float64{0, 1, 2, 5}},
		{"0,1", 0.1, nil}, // a decimal comma
		{"0,1 0,2; 0,5", 0, []float64{0.1, 0.2, 0.5}},
		{"", 0, nil},
	} {
		step, marks, err := stepOrMarks(c.text)
		if err != nil || step != c.step || !slices.Equal(marks, c.marks) {
			t.Errorf("%q: %v, %v, %v", c.text, step, marks, err)
		}
	}
	for _, text := range []string{"0", "2 1", "x", "-1", "1e400"} {
		if _, _, err := stepOrMarks(text); err == nil {
			t.Errorf("%q was taken", text)
		}
	}
}

func TestRepeatability(t *testing.T) {
	for _, c := range []struct {
		text string
		want logbook.Method
	}{
		{"0.3", logbook.Method{SD: 0.3}},
		{"5 %", logbook.Method{SDRel: 0.05}},
		{"0.4 marks", logbook.Method{SDSteps: 0.4}},
		{"0.3 + 10%", logbook.Method{SD: 0.3, SDRel: 0.1}},
		{"", logbook.Method{}},
	} {
		got, err := repeatability(c.text)
		if err != nil || got.SD != c.want.SD || got.SDRel != c.want.SDRel || got.SDSteps != c.want.SDSteps {
			t.Errorf("%q: %+v, %v", c.text, got, err)
		}
	}
	for _, text := range []string{"-1", "x", "3 florins", "1e400"} {
		if _, err := repeatability(text); err == nil {
			t.Errorf("%q was taken", text)
		}
	}
}

// A method is described from the glance, and a reading by it is then described to the engine.
func TestMethodForm(t *testing.T) {
	b, a, _ := formBook(t)
	do(a, "m")
	doText(a, "drop kit")
	do(a, "enter", "enter")
	doText(a, "0.1")
	do(a, "enter")
	doText(a, "0.15")
	do(a, "ctrl+s")
	err := b.View(func(v *logbook.View) error {
		m, err := v.Method("drop kit", "alkalinity")
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
