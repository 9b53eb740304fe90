package tui

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"leadline/logbook"
	"leadline/tui/form"
)

// A volume of a supplement that does nothing for the parameter named is refused, naming what it raises.
func TestDoseOfAnotherParameterIsRefused(t *testing.T) {
	b, a, _ := formBook(t)
	a.push(form.NewDose(a.env, logbook.Tank{Name: "forereef", VolumeL: 450}, "phosphate"))
	settleAll(a, a.top().Init())
	doText(a, "6 mL")
	do(a, "enter", "enter")
	doText(a, "carbonate mix")
	do(a, "ctrl+s", "ctrl+s")
	if es := entriesOf(t, b, logbook.KindDose); len(es) > 0 {
		t.Errorf("the book holds %+v", es)
	}
	if said := a.top().(*form.Form).Message; !strings.Contains(said, "raises alkalinity and not phosphate") {
		t.Errorf("refused: %q", said)
	}
}

// A supplement is described from the dose form, which then knows its strength: 10 mL in 100 L raise 0.05 mg/L, so 9 mL
// raise 450 L by 0.01.
func TestSupplementIsDescribedFromTheDoseForm(t *testing.T) {
	b, a, tank := formBook(t)
	a.push(form.NewDose(a.env, tank, "phosphate"))
	settleAll(a, a.top().Init())
	doText(a, "9 mL")
	do(a, "enter", "enter")
	doText(a, "phosphate mix")
	do(a, "ctrl+s")
	if said := a.top().(*form.Form).Message; !strings.Contains(said, "ctrl+n describes it") {
		t.Errorf("refused: %q", said)
	}
	do(a, "ctrl+n")
	doText(a, "10 mL in 100 L")
	do(a, "enter")
	doText(a, "po4=0.05")
	do(a, "ctrl+s")
	if a.top().About().Title != "forereef · one dose" {
		t.Fatalf("not back at the dose:\n%s", a.View())
	}
	do(a, "ctrl+s")
	es := entriesOf(t, b, logbook.KindDose)
	if len(es) != 1 || es[0].(logbook.Dose).Amount != 0.01 || es[0].(logbook.Dose).Supplement != "phosphate mix" {
		t.Fatalf("the book holds %+v; the screen says\n%s", es, a.View())
	}
}

func TestSupplementForm(t *testing.T) {
	for _, c := range []struct {
		name string
		keys [][2]string // field and text
		ok   func(logbook.Supplement) bool
	}{
		{"label", [][2]string{{"label", "10 mL in 100 L"}, {"raises", "alk=1 ca=7"}}, func(s logbook.Supplement) bool {
			return s.LabelML == 10 && s.LabelL == 100 && len(s.Label) == 2
		}},
		{"bare label", [][2]string{{"label", "10 in 100"}, {"raises", "alk=1"}}, func(s logbook.Supplement) bool {
			return s.LabelML == 10 && s.LabelL == 100
		}},
		{"recipe", [][2]string{{"or salt", "Na2CO3"}, {"grams per litre", "60"}}, func(s logbook.Supplement) bool {
			return s.Salt == "Na2CO3" && s.GramsPerL == 60
		}},
		{"limewater", [][2]string{{"or salt", "limewater"}}, func(s logbook.Supplement) bool { return s.Limewater }},
		{"nothing", nil, nil},
		{"both", [][2]string{{"label", "10 mL in 100 L"}, {"raises", "alk=1"}, {"or salt", "Na2CO3"},
			{"grams per litre", "60"}}, nil},
		{"no rise", [][2]string{{"label", "10 mL in 100 L"}}, nil},
		{"no water", [][2]string{{"label", "10 mL"}, {"raises", "alk=1"}}, nil},
		{"no salt", [][2]string{{"or salt", "Xx"}, {"grams per litre", "60"}}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			b, a, _ := formBook(t)
			do(a, "S")
			f := a.top().(*form.Form)
			doText(a, "mix")
			for _, k := range c.keys {
				f.StartAt(k[0])
				doText(a, k[1])
			}
			do(a, "ctrl+s")
			var s logbook.Supplement
			err := b.View(func(v *logbook.View) (err error) {
				s, err = v.Supplement("mix")
				return err
			})
			if c.ok == nil {
				if err == nil || f.Message == "" {
					t.Errorf("taken: %+v", s)
				}
				return
			}
			if err != nil || !c.ok(s) {
				t.Errorf("%+v, %v; the screen says\n%s", s, err, a.View())
			}
		})
	}
}

// The field itself says that a supplement is not described, or does nothing for the parameter, before a rise is booked
// under its name.
func TestSupplementFieldSaysWhatIsKnown(t *testing.T) {
	for typed, want := range map[string]string{"new mix": "not described: ctrl+n describes it",
		"carb": "carbonate mix, as it is described, does not raise phosphate"} {
		_, a, tank := formBook(t)
		a.push(form.NewDose(a.env, tank, "phosphate"))
		settleAll(a, a.top().Init())
		doText(a, "0.01")
		do(a, "enter", "enter")
		doText(a, typed)
		if view := a.View(); !strings.Contains(view, want) {
			t.Errorf("%q: %q is missing:\n%s", typed, want, view)
		}
	}
}

// The help of a form has in full what the form warns of in a line.
func TestCautionsInFull(t *testing.T) {
	a := exampleApp(t, true, 80, 40)
	f := form.NewSupplement(a.env, a.stack[0].(*glance).reports[0].Tank, "")
	a.push(f)
	settleAll(a, f.Init())
	f.Field("name").Input.SetValue("limewater")
	f.Field("or salt").Input.SetValue("limewater")
	a.Update(keyNamed("f1"))
	view := ansi.Strip(a.View())
	for _, want := range []string{"cautions in full", "Saturated limewater has pH about 12.4"} {
		if !strings.Contains(view, want) {
			t.Errorf("%q is not there:\n%s", want, view)
		}
	}
}
