package tui

import (
	"strings"
	"testing"
	"time"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/logbook"
	"leadline/trend"
	"leadline/tui/form"
	"leadline/tui/part"
)

// An unlikely value is asked about once, and then kept; another unlikely text is asked about anew.
func TestFieldAsksOnce(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	d := showTestDay(t, a)
	keysOf(a, "8", "3", "enter")
	if d.at != 0 || d.fields[0].kept != "" {
		t.Fatal("83 dKH was not asked about")
	}
	keysOf(a, "enter")
	if d.at != 1 || d.fields[0].kept != "83" {
		t.Fatal("the second enter did not keep it")
	}
	keysOf(a, "up", "backspace", "4", "enter")
	if d.at != 0 {
		t.Error("84 dKH was not asked about, though only 83 was kept")
	}
}

// "As expected" is said of what lies in the range that stands beside it, as it stands there.
func TestAsExpectedIsWithinTheRange(t *testing.T) {
	p := parameter(t, "nitrate")
	for _, c := range []struct{ typed, says string }{
		{"3.5", "below expected"}, {"3.6", "as expected"}, {"6.9", "as expected"}, {"7", "above expected"},
		{"7.5", "above expected"},
		{"<7.5", "as expected"}, {">3", "as expected"}, {"<3", "below expected"},
	} {
		r, err := logbook.ParseReading(p, c.typed, "mg/L")
		if err != nil {
			t.Fatal(err)
		}
		f := testField{at: clock, read: true, result: entry.Result{Reading: r}, judged: c.typed}
		f.Unit = "mg/L"
		f.Finding = alerts.Finding{Series: alerts.Series{Parameter: p, Readings: []logbook.Reading{r},
			Band: alerts.Band{Low: nan(), High: nan(), Floor: nan()}}}
		f.Expected = trend.Prediction{Mean: 5, Lo: 3.64, Hi: 6.86}
		f.verdict = trend.Judgement{Expected: f.Expected, Tail: 0.1}
		f.input.SetValue(c.typed)
		if got, _ := f.word(part.NewTheme(nil, true, false, false)); got != c.says || f.ExpectedText() != "3.6–6.9" {
			t.Errorf("%s beside %s: %s, want %s", c.typed, f.ExpectedText(), got, c.says)
		}
	}
}

// What cannot be is refused in place, with the reason, and is never saved.
func TestFieldRefuses(t *testing.T) {
	for _, typed := range []string{"-3", "NaN", "1e400", "1,300", "eight", "8 florins", "<"} {
		a := exampleApp(t, true, 80, 24)
		d := showTestDay(t, a)
		for _, c := range typed {
			keysOf(a, string(c))
		}
		keysOf(a, "enter", "ctrl+s")
		if f := d.fields[0]; f.refused == "" || d.saving {
			t.Errorf("%q: refused %q, saving %v", typed, f.refused, d.saving)
		}
	}
}

// Esc keeps what is typed; throwing it away takes its own key twice.
func TestEscKeepsWhatIsTyped(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	d := showTestDay(t, a)
	keysOf(a, "8", "esc")
	if d.draft().Fields["alkalinity"].Text != "8" {
		t.Error("esc threw the value away")
	}
	keysOf(a, "ctrl+x")
	if d.draft().Fields["alkalinity"].Text != "8" {
		t.Error("one ctrl+x threw the value away")
	}
	keysOf(a, "ctrl+x")
	if len(d.draft().Fields) != 0 {
		t.Error("two ctrl+x did not")
	}
}

func TestUndo(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	d := showTestDay(t, a)
	keysOf(a, "8", ".", "2", "enter", "4", "ctrl+y", "ctrl+y")
	if d.fields[1].text() != "" || d.fields[0].text() != "" || d.at != 0 {
		t.Errorf("%q, %q, at %d", d.fields[0].text(), d.fields[1].text(), d.at)
	}
}

// The form throws typed text away only when asked twice.
func TestFormAsksBeforeLeaving(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	f := form.NewEvent(a.env, example(t)[0].Tank, "")
	a.push(f)
	keysOf(a, "x")
	if cmd, _ := part.Press(f, keyNamed("esc")); cmd == nil || f.Asked != "back" {
		t.Fatal("the first esc did not ask")
	} else if _, left := cmd().(part.BackMsg); left {
		t.Fatal("the first esc left")
	}
	cmd, _ := part.Press(f, keyNamed("esc"))
	if _, left := cmd().(part.BackMsg); !left {
		t.Error("the second esc stayed")
	}
}

// A number far from what is expected that another unit would put there is asked about with that unit: mg/L read off a
// kit and typed where a number is in ppb P.
func TestFarOffNamesTheUnitThatWasMeant(t *testing.T) {
	p := parameter(t, "phosphate")
	for _, c := range []struct{ typed, unit, meant string }{
		{"0.02", "ppb P", "0.02 mg/L"}, {"8", "mg/L", "8 ppb P"}, {"8", "ppb P", ""}, {"0.5", "mg/L", "0.05 mg/L"},
		{"0.9", "mg/L", ""},
	} {
		f := &testField{at: clock, Test: entry.Test{
			Finding:  alerts.Finding{Series: alerts.Series{Parameter: p, Readings: weekly(p, "forereef", "", 0.02, 0.03, 0.02)}},
			Unit:     c.unit,
			Expected: trend.Prediction{Mean: 0.025, Lo: 0.015, Hi: 0.035}}}
		f.input.SetValue(c.typed)
		f.parse()
		why, got := f.question()
		asks := c.meant != "" && strings.Contains(why, c.meant)
		if got != c.meant || asks != (c.meant != "") {
			t.Errorf("%s %s: %q, want %q; asks %q", c.typed, c.unit, got, c.meant, why)
		}
	}
}

// The verdict beside a value that was noted minutes ago says so, and does not call it a leap.
func TestNotedTwice(t *testing.T) {
	b := tankBook(t)
	same := readingsSince(t, b, "alkalinity")
	r := same[len(same)-1]
	r.ID, r.Time = logbook.ID{}, noon.Add(-3*time.Minute)
	if _, err := b.Append(r); err != nil {
		t.Fatal(err)
	}
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	settle(a, a.top().Init())
	do(a, "t")
	d := a.top().(*testDay)
	d.focus(len(d.fields) - 1) // it is not due any more
	doText(a, r.Text)
	for _, want := range []string{"? noted twice?", "the same reading of 11:57 is there already: one test noted twice?"} {
		if view := a.View(); !strings.Contains(view, want) {
			t.Errorf("%q is not said:\n%s", want, view)
		}
	}
}
