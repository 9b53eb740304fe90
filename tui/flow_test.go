package tui

import (
	"bytes"
	"io"
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/exp/teatest"

	"leadline/alerts/words"
	"leadline/logbook"
)

// Whole flows in the event loop, on a real book.

// tankBook is a book with one tank that tests eight parameters weekly, six weeks of them, all due at noon.
func tankBook(t testing.TB) *logbook.Book {
	t.Helper()
	b, err := logbook.Create(filepath.Join(t.TempDir(), "keeper.book"))
	if err != nil {
		t.Fatal(err)
	}
	ptr := func(v float64) *float64 { return &v }
	recs := []logbook.Record{logbook.Tank{Name: "forereef", VolumeL: 450, Bands: map[string]logbook.Band{
		"phosphate": {Low: ptr(0.03), High: ptr(0.1), Floor: ptr(0.015)}}}}
	for name, v := range eight() {
		p := parameter(t, name)
		for week := range 6 {
			r, err := logbook.ParseReading(p, v.last, v.unit)
			if err != nil {
				t.Fatal(err)
			}
			r.Time, r.Tank = noon.AddDate(0, 0, -7*(week+1)), "forereef"
			recs = append(recs, r)
		}
	}
	if _, err := b.Append(recs...); err != nil {
		t.Fatal(err)
	}
	return b
}

type typed struct{ last, unit, next string }

func eight() map[string]typed {
	return map[string]typed{
		"alkalinity": {"8.3", "dKH", "8.2"}, "calcium": {"420", "mg/L", "425"}, "magnesium": {"1350", "mg/L", "1345"},
		"nitrate": {"7.5", "mg/L", "7.4"}, "phosphate": {"10", "ppb P", "11"}, "salinity": {"35", "PSU", "35.1"},
		"temperature": {"25.4", "°C", "25.5"}, "pH": {"8.1", "pH", "8.15"},
	}
}

// run starts the interface on a book.
func run(t *testing.T, b *logbook.Book) *teatest.TestModel {
	t.Helper()
	m := newApp(Options{Book: b, Now: clock, Out: io.Discard, NoColor: true})
	return teatest.NewTestModel(t, m, teatest.WithInitialTermSize(80, 24))
}

func waitFor(t *testing.T, tm *teatest.TestModel, text string) {
	t.Helper()
	teatest.WaitFor(t, tm.Output(), func(out []byte) bool { return bytes.Contains(out, []byte(text)) },
		teatest.WithDuration(20*time.Second), teatest.WithCheckInterval(10*time.Millisecond))
}

func end(t *testing.T, tm *teatest.TestModel) {
	t.Helper()
	tm.Send(keyNamed("ctrl+c"))
	tm.WaitFinished(t, teatest.WithFinalTimeout(20*time.Second))
}

func readings(t *testing.T, b *logbook.Book, parameter string) []logbook.Reading {
	t.Helper()
	var rs []logbook.Reading
	err := b.View(func(v *logbook.View) error {
		var err error
		rs, err = v.Readings("forereef", parameter, noon.AddDate(0, 0, -1), time.Time{})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return rs
}

// Eight readings take fewer than sixty presses beyond the digits.
func TestTestDayInFewKeys(t *testing.T) {
	b := tankBook(t)
	tm := run(t, b)
	waitFor(t, tm, "alkalinity")
	presses := 0
	press := func(name string) {
		presses++
		tm.Send(keyNamed(name))
	}
	press("t")
	waitFor(t, tm, "expected")
	for _, name := range []string{"alkalinity", "calcium", "magnesium", "nitrate", "phosphate", "salinity", "temperature",
		"pH"} {
		for _, c := range eight()[name].next {
			tm.Send(keyNamed(string(c)))
		}
		press("enter")
	}
	press("ctrl+s")
	waitFor(t, tm, "8 readings of forereef in the book")
	end(t, tm)
	if presses >= 60 {
		t.Errorf("%d presses beyond the digits", presses)
	}
	for name, v := range eight() {
		rs := readings(t, b, name)
		if len(rs) != 1 || rs[0].Text != v.next || rs[0].Unit != v.unit || !rs[0].Time.Equal(noon) {
			t.Errorf("%s: %+v, want %s %s", name, rs, v.next, v.unit)
		}
	}
	if err := b.View(func(v *logbook.View) error {
		_, there, err := v.Draft("forereef")
		if there {
			t.Error("the draft is still there after saving")
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
}

// What is typed half way survives ctrl+c and is offered again; nothing of it counts as a reading before it is saved.
func TestHalfTypedTestDayIsKept(t *testing.T) {
	b := tankBook(t)
	tm := run(t, b)
	waitFor(t, tm, "alkalinity")
	tm.Send(keyNamed("t"))
	waitFor(t, tm, "expected")
	for _, k := range []string{"8", ".", "2", "enter", "4", "2", "ctrl+n", "n", "e", "w", "enter"} {
		tm.Send(keyNamed(k))
	}
	end(t, tm)
	if rs := readings(t, b, "alkalinity"); len(rs) != 0 {
		t.Fatalf("a draft became a reading: %+v", rs)
	}

	tm = run(t, b)
	waitFor(t, tm, "half typed")
	tm.Send(keyNamed("t"))
	waitFor(t, tm, "is back")
	tm.Send(keyNamed("ctrl+s")) // 42 mg/L calcium is asked about once
	tm.Send(keyNamed("ctrl+s"))
	waitFor(t, tm, "2 readings of forereef in the book")
	end(t, tm)
	ca := readings(t, b, "calcium")
	if len(ca) != 1 || ca[0].Text != "42" || ca[0].Note != "new" {
		t.Errorf("calcium: %+v", ca)
	}
}

// What another process adds appears without a key being pressed.
func TestWhatAnotherProcessAddsAppears(t *testing.T) {
	b := tankBook(t)
	tm := run(t, b)
	waitFor(t, tm, "alkalinity")
	other, err := logbook.Open(b.Path())
	if err != nil {
		t.Fatal(err)
	}
	r, err := logbook.ParseReading(parameter(t, "magnesium"), "1277", "")
	if err != nil {
		t.Fatal(err)
	}
	r.Time, r.Tank = noon, "forereef"
	if _, err := other.Append(r); err != nil {
		t.Fatal(err)
	}
	waitFor(t, tm, "1277")
	end(t, tm)
}

// An empty book leads to a tank, its bands and a first reading.
func TestFirstRun(t *testing.T) {
	b, err := logbook.Create(filepath.Join(t.TempDir(), "new.book"))
	if err != nil {
		t.Fatal(err)
	}
	tm := run(t, b)
	waitFor(t, tm, "This book is empty")
	for _, c := range "forereef" {
		tm.Send(keyNamed(string(c)))
	}
	tm.Send(keyNamed("ctrl+s"))
	waitFor(t, tm, "common practice")
	tm.Send(keyNamed("enter"))
	waitFor(t, tm, "first test")
	for _, k := range []string{"8", "enter", "ctrl+s"} {
		tm.Send(keyNamed(k))
	}
	waitFor(t, tm, "1 reading of forereef in the book")
	end(t, tm)
	if rs := readings(t, b, "alkalinity"); len(rs) != 1 || rs[0].Value != 8 {
		t.Errorf("alkalinity: %+v", rs)
	}
	if err := b.View(func(v *logbook.View) error {
		tank, err := v.Tank("forereef")
		if err == nil && (tank.Bands["phosphate"].Floor == nil || *tank.Bands["phosphate"].Floor != 0.02) {
			t.Errorf("bands: %+v", tank.Bands)
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
}

// A strike asks why, and the line no longer counts but stays readable.
func TestStrikeAndCorrect(t *testing.T) {
	b := tankBook(t)
	tm := run(t, b)
	waitFor(t, tm, "alkalinity")
	tm.Send(keyNamed("g")) // the cursor starts on what needs the keeper
	tm.Send(keyNamed("enter"))
	waitFor(t, tm, "7 Mar 2026 12:00") // the list below the chart
	tm.Send(keyNamed("r"))
	waitFor(t, tm, "new value")
	for _, k := range []string{"8", ".", "4", "ctrl+s"} {
		tm.Send(keyNamed(k))
	}
	waitFor(t, tm, "struck: 8.3 dKH, because typed wrong")
	end(t, tm)
	err := b.View(func(v *logbook.View) error {
		rs, err := v.Readings("forereef", "alkalinity", noon.AddDate(0, 0, -8), time.Time{})
		if len(rs) != 1 || rs[0].Text != "8.4" || !rs[0].Time.Equal(noon.AddDate(0, 0, -7)) {
			t.Errorf("alkalinity: %+v", rs)
		}
		struck, err2 := v.Struck("forereef")
		if len(struck) != 1 || struck[0].Strike.Why != "typed wrong" ||
			len(rs) == 1 && struck[0].Strike.Successor != rs[0].ID {
			t.Errorf("struck: %+v", struck)
		}
		if err == nil {
			err = err2
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Pasted lines are split over the fields; a bare one goes to the next field, a named one to its own.
func TestPasteSplitsOverFields(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	d := showTestDay(t, a)
	a.Update(tea.KeyMsg{Type: tea.KeyRunes, Paste: true, Runes: []rune("8.1\r\n430\npo4 = 33 ppb P\n\x1b[31m25.4")})
	want := map[string]string{"alkalinity": "8.1", "calcium": "430", "phosphate": "33 ppb P", "temperature": "25.4",
		"nitrate": ""}
	for _, f := range d.fields {
		if got := f.text(); got != want[f.Parameter.Name] {
			t.Errorf("%s: %q, want %q", f.Parameter.Name, got, want[f.Parameter.Name])
		}
	}
	if d.saving {
		t.Error("a paste saved")
	}
	for _, f := range d.fields {
		// 33 ppb P is 0.101 mg/L PO4 by the molar masses (testdata/reference/units.json).
		if f.Parameter.Name == "phosphate" &&
			!strings.HasPrefix(words.NumberIn(f.Parameter, f.Unit, f.result.Value), "0.101") {
			t.Errorf("33 ppb P read as %v", f.result.Value)
		}
	}
}

// Keys that come in one read count one after the other, and a form that the first opens takes the rest as text.
func TestKeysInOneRead(t *testing.T) {
	b := tankBook(t)
	tm := run(t, b)
	waitFor(t, tm, "alkalinity")
	tm.Send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("gjjd0.25")})
	waitFor(t, tm, "+0.25 mg/L") // of magnesium, the third line
	tm.Send(keyNamed("ctrl+s"))
	waitFor(t, tm, "dose of 0.25 mg/L magnesium in the book")
	end(t, tm)
}

// The time of a test is kept with a half-typed test day, whichever was typed first, and what is saved later has it.
func TestTimeOfTestIsKeptInTheDraft(t *testing.T) {
	for name, keys := range map[string][]string{
		"value first": {"8", ".", "2", "ctrl+t", "0", "8", ":", "3", "0"},
		"time first":  {"ctrl+t", "0", "8", ":", "3", "0", "enter", "8", ".", "2"},
	} {
		t.Run(name, func(t *testing.T) {
			b := tankBook(t)
			tm := run(t, b)
			waitFor(t, tm, "alkalinity")
			tm.Send(keyNamed("t"))
			waitFor(t, tm, "expected")
			for _, k := range append(keys, "esc") {
				tm.Send(keyNamed(k))
			}
			waitFor(t, tm, "kept as a draft")
			end(t, tm)

			// Opened the next day, 08:30 is still that of the day it was typed.
			later := newApp(Options{Book: b, Now: func() time.Time {
				return noon.AddDate(0, 0, 1)
			}, Out: io.Discard, NoColor: true})
			tm = teatest.NewTestModel(t, later, teatest.WithInitialTermSize(80, 24))
			waitFor(t, tm, "half typed")
			tm.Send(keyNamed("t"))
			waitFor(t, tm, "is back")
			tm.Send(keyNamed("ctrl+s"))
			waitFor(t, tm, "1 reading of forereef in the book")
			end(t, tm)
			rs := readings(t, b, "alkalinity")
			if want := noon.Add(-3*time.Hour - 30*time.Minute); len(rs) != 1 || rs[0].Text != "8.2" || !rs[0].Time.Equal(want) {
				t.Errorf("alkalinity: %+v, want 8.2 at %v", rs, want)
			}
		})
	}
}
