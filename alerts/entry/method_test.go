package entry

import (
	"slices"
	"testing"

	"leadline/logbook"
)

func TestScale(t *testing.T) {
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
		step, marks, err := Scale(c.text)
		if err != nil || step != c.step || !slices.Equal(marks, c.marks) {
			t.Errorf("%q: %v, %v, %v", c.text, step, marks, err)
		}
	}
	for _, text := range []string{"0", "2 1", "x", "-1", "1e400"} {
		if _, _, err := Scale(text); err == nil {
			t.Errorf("%q was taken", text)
		}
	}
}

func TestScatter(t *testing.T) {
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
		got, err := Scatter(c.text)
		if err != nil || got.SD != c.want.SD || got.SDRel != c.want.SDRel || got.SDSteps != c.want.SDSteps {
			t.Errorf("%q: %+v, %v", c.text, got, err)
		}
	}
	for _, text := range []string{"-1", "x", "3 florins", "1e400"} {
		if _, err := Scatter(text); err == nil {
			t.Errorf("%q was taken", text)
		}
	}
}
