package tui

import (
	"slices"
	"strings"
	"testing"
	"time"

	"leadline/logbook"
	"leadline/tui/form"
)

// A time of test in the past is said back, and what is expected and the ages are those of then.
func TestTestDayOfThePast(t *testing.T) {
	b := tankBook(t)
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	settle(a, a.top().Init())
	do(a, "t", "8", ".", "2", "ctrl+t")
	d := a.top().(*testDay)
	doText(a, "22 fe")
	if view := a.View(); !strings.Contains(view, "is not a date; write 18:00, mon 18:00, 14 Mar or 2026-03-14 12:00") {
		t.Errorf("a half typed date:\n%s", view)
	}
	doText(a, "b 9:00")
	if view := a.View(); !strings.Contains(view, "Sun 22 Feb 2026 09:00") {
		t.Errorf("the time is not said back:\n%s", view)
	}
	f := d.fields[0]
	// Readings are 7, 14, 21, 28, 35 and 42 days old; four of them came before 22 February 9:00.
	if n := len(f.Readings); n != 4 {
		t.Errorf("%d readings of before", n)
	}
	if !strings.Contains(d.row(0, d.columns()), "  1 d") {
		t.Errorf("age: %s", d.row(0, d.columns()))
	}
	if !f.judgedNow() {
		t.Error("not judged as of then")
	}
	do(a, "ctrl+s")
	err := b.View(func(v *logbook.View) error {
		rs, err := v.Readings("forereef", f.Parameter.Name, time.Time{}, time.Time{})
		want := time.Date(2026, 2, 22, 9, 0, 0, 0, time.UTC)
		found := false
		for _, r := range rs {
			found = found || r.Time.Equal(want)
		}
		if !found {
			t.Errorf("no reading at %v: %+v", want, rs)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Two screens on one tank, in two windows: each keeps what is typed on the other, and saving the one leaves the
// other's.
func TestTwoScreensOnOneTank(t *testing.T) {
	b := tankBook(t)
	var one, two *app
	for _, a := range []**app{&one, &two} {
		*a = newApp(Options{Book: b, Now: clock, NoColor: true})
		resize(*a, 80, 24)
		settle(*a, (*a).top().Init())
		do(*a, "t")
	}
	draft := func() string {
		var typed []string
		err := b.View(func(v *logbook.View) error {
			d, _, err := v.Draft("forereef")
			for name, f := range d.Fields {
				typed = append(typed, name+" "+f.Text)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		slices.Sort(typed)
		return strings.Join(typed, ", ")
	}
	says := func(when, want string) {
		t.Helper()
		if got := draft(); got != want {
			t.Errorf("%s: the draft holds %q, want %q", when, got, want)
		}
	}
	doText(one, "8.2")
	do(two, "down")
	doText(two, "425")
	says("both typed", "alkalinity 8.2, calcium 425")
	do(two, "backspace")
	says("the second went back", "alkalinity 8.2, calcium 42")
	doText(two, "1")
	do(one, "ctrl+s")
	says("the first is saved", "calcium 421")
	if rs := readingsSince(t, b, "alkalinity"); rs[len(rs)-1].Text != "8.2" {
		t.Errorf("not saved: %+v", rs)
	}
	do(two, "ctrl+x", "ctrl+x")
	says("the second is thrown away", "")
}

// A tank with an order of its own is tested in that order, whatever is due.
func TestTestDayInTheTanksOrder(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	tank := example(t)[0].Tank
	tank.Order = logbook.Order{"alkalinity"}
	d := newTestDay(a.env, tank, nil)
	a.push(d)
	r := example(t)[0]
	for i := range r.Findings {
		r.Findings[i].Due = noon.AddDate(0, 0, 5-i)
	}
	d.fill(testDayFound{report: r})
	for i, f := range d.fields {
		if want := r.Findings[i].Parameter.Name; f.Parameter.Name != want {
			t.Errorf("field %d: %s, want %s", i, f.Parameter.Name, want)
		}
	}
}

// A correction is asked about like the value of a test day: by what the readings before it predict.
func TestCorrectionFarOffIsAskedAbout(t *testing.T) {
	b := tankBook(t)
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	settle(a, a.top().Init())
	do(a, "g", "enter", "r")
	f, ok := a.top().(*form.Form)
	if !ok || !strings.HasSuffix(f.About().Title, "correct") {
		t.Fatalf("no correction:\n%s", a.View())
	}
	doText(a, "5.1") // alkalinity has been 8.3 for weeks
	do(a, "ctrl+s")
	if !strings.Contains(f.Question(), "does not fit (expected ") {
		t.Fatalf("asked %q:\n%s", f.Question(), a.View())
	}
	if rs := readingsSince(t, b, "alkalinity"); len(rs) == 0 || rs[len(rs)-1].Text != "8.3" {
		t.Errorf("saved unasked: %+v", rs)
	}
	do(a, "ctrl+s")
	if rs := readingsSince(t, b, "alkalinity"); len(rs) == 0 || rs[len(rs)-1].Text != "5.1" {
		t.Errorf("not kept by the second press: %+v", rs)
	}
}

func readingsSince(t *testing.T, b *logbook.Book, parameter string) (rs []logbook.Reading) {
	t.Helper()
	err := b.View(func(v *logbook.View) (err error) {
		rs, err = v.Readings("forereef", parameter, time.Time{}, time.Time{})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return rs
}
