package tui

import (
	"strings"
	"testing"

	"leadline/logbook"
	"leadline/tui/form"
)

// A rise that is more than is careful is asked about once: the second press keeps it, a changed number is asked about
// anew. What no water can take is refused, however often it is pressed. The careful daily rises are those of
// testdata/reference/practice.json (max_change_per_day).
func TestRiseIsAskedAbout(t *testing.T) {
	for _, c := range []struct {
		open, text string
		kind       logbook.Kind
		possible   bool
	}{
		{"d", "9", logbook.KindDose, true}, {"D", "9", logbook.KindDosing, true}, {"d", "9000", logbook.KindDose, false},
		{"D", "900", logbook.KindDosing, false}, {"d", "450 mL", logbook.KindDose, true},
	} {
		b, a, _ := formBook(t)
		do(a, c.open)
		doText(a, c.text)
		do(a, "ctrl+s")
		if es := entriesOf(t, b, c.kind); len(es) != 0 {
			t.Errorf("%s %s was saved unasked", c.open, c.text)
		}
		f := a.top().(*form.Form)
		if c.possible != (f.Question() != "") || c.possible != (f.Message == "") {
			t.Errorf("%s %s: asked %q, refused %q", c.open, c.text, f.Question(), f.Message)
		}
		if !strings.Contains(a.View(), "a rise of") {
			t.Errorf("%s %s: the screen does not say why:\n%s", c.open, c.text, a.View())
		}
		do(a, "ctrl+s")
		if es := entriesOf(t, b, c.kind); (len(es) == 1) != c.possible {
			t.Errorf("%s %s pressed twice: the book holds %+v", c.open, c.text, es)
		}
	}
	b, a, _ := formBook(t)
	do(a, "d", "9", "ctrl+s", "8", "ctrl+s")
	if es := entriesOf(t, b, logbook.KindDose); len(es) != 0 {
		t.Errorf("98 dKH was kept by the answer about 9: %+v", es)
	}
}

// A band that no water can be in is refused, one that is unlikely is asked about once.
func TestBandIsAskedAbout(t *testing.T) {
	for _, c := range []struct {
		low, high, floor, unit string
		possible               bool
	}{
		{"7", "9", "20", "", false},      // bottomed out above the band
		{"7", "900", "", "", false},      // more alkalinity than any water has
		{"7", "9", "8", "", true},        // bottomed out inside the band
		{"700", "900", "", "dKH", false}, // ppm taken for dKH
		{"2.5", "3.2", "", "", true},     // meq/L taken for dKH
	} {
		b, a, _ := formBook(t)
		do(a, "enter", "b")
		for _, text := range []string{c.low, c.high, c.floor, c.unit} {
			doText(a, text)
			do(a, "tab")
		}
		do(a, "ctrl+s")
		f, on := a.top().(*form.Form)
		if !on || c.possible != (f.Question() != "") || c.possible != (f.Message == "") {
			t.Fatalf("%+v after one press:\n%s", c, a.View())
		}
		if strings.Contains(a.View(), "--") {
			t.Errorf("%+v: the screen speaks of a switch:\n%s", c, a.View())
		}
		do(a, "ctrl+s")
		err := b.View(func(v *logbook.View) error {
			tank, err := v.Tank("forereef")
			if _, kept := tank.Bands["alkalinity"]; kept != c.possible {
				t.Errorf("%+v after two presses: %+v", c, tank.Bands)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

// A chore that is not known is asked about once: it may be another name of one that is.
func TestUnknownChoreIsAskedAbout(t *testing.T) {
	b, a, _ := formBook(t)
	do(a, "c", "p", "u", "m", "p", "ctrl+s")
	if es := entriesOf(t, b, logbook.KindChoreDone); len(es) != 0 || !strings.Contains(a.View(), "no chore \"pump\" yet") {
		t.Fatalf("%+v\n%s", es, a.View())
	}
	do(a, "ctrl+s")
	if es := entriesOf(t, b, logbook.KindChoreDone); len(es) != 1 || es[0].(logbook.ChoreDone).Chore != "pump" {
		t.Errorf("%+v", es)
	}
}

// An unlikely correction and an unlikely level of new water are asked about once, like a reading.
func TestUnlikelyLevelsAreAskedAbout(t *testing.T) {
	b, a, _ := formBook(t)
	do(a, "w", "1", "5", "%", "enter")
	doText(a, "alk=83")
	do(a, "ctrl+s")
	if es := entriesOf(t, b, logbook.KindWaterChange); len(es) != 0 ||
		!strings.Contains(a.View(), "83 dKH is above the usual") {
		t.Fatalf("%+v\n%s", es, a.View())
	}
	do(a, "ctrl+s")
	if es := entriesOf(t, b, logbook.KindWaterChange); len(es) != 1 {
		t.Errorf("%+v", es)
	}
	last := func() logbook.Reading {
		t.Helper()
		var rs []logbook.Reading
		err := b.View(func(v *logbook.View) (err error) {
			rs, err = v.LastReadings("forereef", "alkalinity", noon, 1)
			return err
		})
		if err != nil || len(rs) != 1 {
			t.Fatal(rs, err)
		}
		return rs[0]
	}
	do(a, "enter", "j", "r", "8", "3", "ctrl+s") // the water change is the newest line
	if last().Value != 8 || !strings.Contains(a.View(), "83 dKH is above the usual") {
		t.Fatalf("%+v\n%s", last(), a.View())
	}
	do(a, "ctrl+s")
	if last().Value != 83 {
		t.Errorf("%+v", last())
	}
}
