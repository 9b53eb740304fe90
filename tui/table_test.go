package tui

import (
	"strings"
	"testing"
	"time"

	"leadline/logbook"
	"leadline/tui/part"
)

// In the table a value is corrected and struck where it stands, one is added at the moment of its row, and a date is
// found.
func TestTableInPlace(t *testing.T) {
	b := tankBook(t)
	a := openApp(b)
	do(a, "#")
	s, on := a.top().(*table)
	if !on || len(s.rows) != 6 || len(s.sheet.Columns) != 8 {
		t.Fatalf("no table of six rows and eight columns:\n%s", a.View())
	}
	first := s.sheet.Columns[0]
	value := func(row int) string { return s.rows[row].Cell(first) }
	was := value(0)
	do(a, "enter", "9", "ctrl+s")
	if a.top() != part.Screen(s) || value(0) != "9" || value(1) != was {
		t.Fatalf("not corrected in place: %q\n%s", value(0), a.View())
	}
	do(a, "x", "ctrl+o", "ctrl+s")
	if value(0) != "" {
		t.Fatalf("not struck: %q\n%s", value(0), a.View())
	}
	do(a, "enter")
	d, on := a.top().(*testDay)
	if !on || d.fields[d.at].Parameter.Name != first.Name ||
		!strings.HasPrefix(d.when.Value(), s.rows[0].Time.In(s.tank.Zone()).Format("2006-01-02 15:04")) {
		t.Fatalf("no test day at the moment of the row:\n%s", a.View())
	}
	do(a, "8", ".", "5", "ctrl+s")
	if value(0) != "8.5" || len(s.rows) != 6 {
		t.Fatalf("not added: %q\n%s", value(0), a.View())
	}

	do(a, "/", "1", "2", " ", "j", "a", "n", "x", "enter")
	if !s.date.typing || s.Message == "" {
		t.Errorf("a date that is none is taken:\n%s", a.View())
	}
	do(a, "esc", "/")
	doText(a, noon.AddDate(0, 0, -22).Format("2 Jan 2006"))
	do(a, "enter")
	if s.At != 3 {
		t.Errorf("the date leads to row %d, want 3:\n%s", s.At, a.View())
	}
}

// Of a log that was left alone for long, the table goes back to where it ends.
func TestTableGoesBackToTheLog(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: func() time.Time { return noon.AddDate(3, 0, 0) }, NoColor: true})
	resize(a, 80, 24)
	settleAll(a, a.top().Init())
	if do(a, "#"); len(a.top().(*table).rows) != 6 {
		t.Errorf("the readings of three years ago are not found:\n%s", a.View())
	}
}

// Rows that are selected are given another date, or struck, together.
func TestTableSelection(t *testing.T) {
	b := tankBook(t)
	a := openApp(b)
	do(a, "#", " ", " ", "x", "ctrl+o", "ctrl+s")
	s := a.top().(*table)
	if len(s.rows) != 4 {
		t.Fatalf("%d rows are left, want 4:\n%s", len(s.rows), a.View())
	}
	do(a, "u", " ", "G", "j")
	if s.days <= journalStep || len(s.marked) != 1 {
		t.Fatalf("what is selected is lost when more of the past is read: %d days, %d selected", s.days, len(s.marked))
	}
	do(a, "g", " ")
	if len(s.rows) != 6 {
		t.Fatalf("%d rows after it was taken back, want 6:\n%s", len(s.rows), a.View())
	}
	was := s.rows[0].Time
	do(a, "g", "R", "enter")
	doText(a, was.AddDate(0, 0, -1).Format("2006-01-02"))
	do(a, "ctrl+s")
	if got := s.rows[0].Time; !got.Equal(was.AddDate(0, 0, -1)) || len(s.rows[0].Readings) != 8 {
		t.Errorf("the test day is of %v with %d readings, want a day before %v with 8:\n%s", got, len(s.rows[0].Readings),
			was, a.View())
	}
}

// The filter leaves the rows of one column, and columns that there is no room for come into sight as the cursor goes to
// them.
func TestTableFilterAndColumns(t *testing.T) {
	b := tankBook(t)
	r, err := logbook.ParseReading(parameter(t, "iodine"), "0.06", "")
	if err != nil {
		t.Fatal(err)
	}
	r.Tank, r.Time = "forereef", noon.AddDate(0, 0, -3)
	if _, err := b.Append(r); err != nil {
		t.Fatal(err)
	}
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 40, 12)
	settleAll(a, a.top().Init())
	do(a, "#")
	s := a.top().(*table)
	for range 12 {
		do(a, "right")
		if !strings.Contains(a.View(), head(s.sheet.Columns[s.column])) || !strings.Contains(a.View(), "[") {
			t.Fatalf("column %d is not in sight:\n%s", s.column, a.View())
		}
	}
	for s.sheet.Columns[s.column].Name != "iodine" {
		do(a, "left")
	}
	do(a, " ")
	if do(a, "f"); len(s.rows) != 1 || len(s.marked) != 0 {
		t.Errorf("%d rows with iodine, want 1:\n%s", len(s.rows), a.View())
	}
	if do(a, "f"); len(s.rows) != 7 {
		t.Errorf("%d rows without a filter, want 7", len(s.rows))
	}
}
