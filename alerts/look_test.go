package alerts

import (
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"leadline/logbook"
)

// lookBook has a tank whose nitrate falls towards its floor, a banded parameter never tested, and a chore that is late.
func lookBook(t *testing.T, asOf time.Time) *logbook.Book {
	t.Helper()
	b, err := logbook.Create(filepath.Join(t.TempDir(), "look.book"))
	if err != nil {
		t.Fatal(err)
	}
	number := func(v float64) *float64 { return &v }
	recs := []logbook.Record{
		logbook.Tank{Name: "forereef", Bands: map[string]logbook.Band{
			"nitrate": {Low: number(3), High: number(12), Floor: number(2)}, "calcium": {Low: number(400), High: number(450)}}},
		logbook.Chore{Tank: "forereef", Name: "reactor media", EveryDays: 7},
		logbook.ChoreDone{Time: asOf.AddDate(0, 0, -30), Tank: "forereef", Chore: "reactor media"},
	}
	p, _ := logbook.FindParameter(logbook.Standard(), "nitrate")
	for week := range 10 {
		r, err := logbook.ParseReading(p, fmt.Sprintf("%.1f", 2.5+0.6*float64(week)), "mg/L")
		if err != nil {
			t.Fatal(err)
		}
		r.Time, r.Tank = asOf.AddDate(0, 0, -7*week), "forereef"
		recs = append(recs, r)
	}
	if _, err := b.Append(recs...); err != nil {
		t.Fatal(err)
	}
	return b
}

// A look shows the latest reading and claims nothing more; taken in bit by bit, the report becomes that of Examine.
func TestLookBecomesExamine(t *testing.T) {
	asOf := time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)
	err := lookBook(t, asOf).View(func(v *logbook.View) error {
		whole, err := Examine(v, "forereef", asOf)
		if err != nil {
			return err
		}
		if len(whole.Alerts) < 2 || whole.Unexamined || whole.Findings[0].Unexamined {
			t.Fatalf("the example should raise an alert of a line and one of a chore: %+v", whole.Alerts)
		}
		r, err := Look(v, "forereef", asOf)
		if err != nil {
			return err
		}
		if len(r.Findings) != len(whole.Findings) || len(r.Alerts) != 0 || !r.Unexamined {
			t.Fatalf("a look gives %d lines and %d alerts", len(r.Findings), len(r.Alerts))
		}
		for i, l := range r.Findings {
			if !l.Unexamined || l.Assessment.N != 0 || l.Parameter.Name != whole.Findings[i].Parameter.Name || !l.Band.Set() {
				t.Errorf("line %d of a look: %+v", i, l)
			}
			if n := len(whole.Findings[i].Readings); n > 0 &&
				(len(l.Readings) != 1 || l.Readings[0].ID != whole.Findings[i].Readings[n-1].ID) {
				t.Errorf("%s: the look does not show the latest reading", l.Parameter.Name)
			}
		}
		for i := len(r.Findings) - 1; i >= 0; i-- { // in any order
			l, err := ExamineParameter(v, r.Tank, r.Findings[i].Parameter, asOf, 0)
			if err != nil {
				return err
			}
			r.Put(l)
			r.Put(l) // twice does no harm
		}
		u, err := UpkeepOf(v, r.Tank, asOf)
		if err != nil {
			return err
		}
		r.PutUpkeep(u)
		if len(r.Alerts) != len(whole.Alerts) || r.Unexamined {
			t.Fatalf("%d alerts, want %d", len(r.Alerts), len(whole.Alerts))
		}
		for i, a := range r.Alerts {
			if a.Headline != whole.Alerts[i].Headline {
				t.Errorf("alert %d: %q, want %q", i, a.Headline, whole.Alerts[i].Headline)
			}
		}
		for i, l := range r.Findings {
			if w := whole.Findings[i]; l.Unexamined || l.BandState != w.BandState || l.Assessment.N != w.Assessment.N ||
				!l.Due.Equal(w.Due) {
				t.Errorf("%s differs from that of an examination", l.Parameter.Name)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// The lines come in the tank's own order; where it has none, in the usual one, and else in the standard one.
func TestLinesComeInTheOwnOrder(t *testing.T) {
	asOf := time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)
	b := lookBook(t, asOf)
	first := func(usual logbook.Order) string {
		t.Helper()
		var name string
		err := b.View(func(v *logbook.View) error {
			whole, err := Examine(v, "forereef", asOf)
			if err != nil {
				return err
			}
			look, err := Look(v, "forereef", asOf)
			whole.Arrange(usual)
			look.Arrange(usual)
			name = whole.Findings[0].Parameter.Name
			if got := look.Findings[0].Parameter.Name; got != name {
				t.Errorf("a look begins with %s, an examination with %s", got, name)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		return name
	}
	if got := first(nil); got != "calcium" {
		t.Errorf("in standard order %s is first", got)
	}
	if got := first(logbook.Order{"no3"}); got != "nitrate" {
		t.Errorf("in the usual order %s is first", got)
	}
	var tank logbook.Tank
	if err := b.View(func(v *logbook.View) (err error) { tank, err = v.Tank("forereef"); return err }); err != nil {
		t.Fatal(err)
	}
	tank.Order = logbook.Order{"calcium"}
	if _, err := b.Append(tank); err != nil {
		t.Fatal(err)
	}
	if got := first(logbook.Order{"no3"}); got != "calcium" {
		t.Errorf("the usual order goes before the tank's own: %s is first", got)
	}
}
