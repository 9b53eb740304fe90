package entry_test

import (
	"testing"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/logbook"
)

// The unit of a bare number: a described method's goes before that of the settings, and this before the keeper's habit.
func TestUsualUnit(t *testing.T) {
	p, _ := logbook.FindParameter(logbook.Standard(), "phosphate")
	habit := []logbook.Reading{{Unit: "ppb P"}, {Unit: "ppb P"}, {Unit: "ppb P"}}
	card := []logbook.Method{{Name: "card", Parameter: "phosphate", Unit: "mg/L"}}
	for _, c := range []struct {
		name, method, set string
		readings          []logbook.Reading
		want              string
	}{
		{"nothing known", "", "", nil, "mg/L"},
		{"habit", "", "", habit, "ppb P"},
		{"settings before habit", "", "ug/L", habit, "ug/L"},
		{"method before settings", "card", "ppb P", habit, "mg/L"},
		{"a method not described", "old card", "ppb P", nil, "ppb P"},
	} {
		p := p
		if c.set != "" {
			p.Shown, _ = p.FindUnit(c.set)
		}
		x := entry.Context{Methods: card}.Test(alerts.Finding{Series: alerts.Series{Parameter: p, Readings: c.readings}})
		if x.By(c.method); x.Unit != c.want {
			t.Errorf("%s: %q, want %q", c.name, x.Unit, c.want)
		}
	}
}

// A number that is less than a step of its method was typed in the parameter's own unit, whatever is known of the tank.
func TestLessThanAStepIsAskedAbout(t *testing.T) {
	p, _ := logbook.FindParameter(logbook.Standard(), "phosphate")
	test := entry.Context{Methods: []logbook.Method{{Name: "photometer", Parameter: "phosphate", Unit: "ppb P", Step: 1}}}.
		Test(alerts.Finding{Series: alerts.Series{Parameter: p}})
	test.By("photometer")
	for text, want := range map[string]string{"0.02": "0.02 mg/L", "7": "", "1": "", "<1": "", "0.02 mg/L": ""} {
		x, err := test.Read(text)
		if err != nil {
			t.Fatal(err)
		}
		if why, meant := test.Doubt(x, false); meant != want || (why == "") != (want == "") {
			t.Errorf("%s: %q, %q, want %q", text, why, meant, want)
		}
	}
}
