package entry_test

import (
	"errors"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"leadline/alerts/entry"
	"leadline/logbook"
)

// The greatest careful rise of alkalinity is 0.5 dKH a day (common practice, no source:
// testdata/reference/practice.json), and no water has more than Parameter.Max, 100 dKH.
func TestDoubtRises(t *testing.T) {
	at := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	dose := func(amount float64, unit string, before time.Duration) logbook.Entry {
		return logbook.Dose{Time: at.Add(-before), Tank: "forereef", Parameter: "alkalinity", Amount: amount, Unit: unit}
	}
	dosing := func(perDay float64, supplement string, before time.Duration) logbook.Entry {
		return logbook.Dosing{Time: at.Add(-before), Tank: "forereef", Parameter: "alkalinity", PerDay: perDay, Unit: "dKH",
			Supplement: supplement}
	}
	calcium := logbook.Dosing{Time: at, Tank: "forereef", Parameter: "calcium", Unit: "mg/L"}
	calciumOf := calcium
	calciumOf.Supplement = "soda ash"
	const hour, day = time.Hour, 24 * time.Hour
	six := []logbook.Entry{dose(0.5, "dKH", 2*hour), dose(0.5, "dKH", 3*hour), dose(0.5, "dKH", 4*hour),
		dose(0.5, "dKH", 5*hour), dose(0.5, "dKH", 6*hour)}
	for _, c := range []struct {
		name    string
		there   []logbook.Entry
		e       logbook.Entry
		doubt   string // "": none
		refused bool
	}{
		{"careful", nil, dose(0.4, "dKH", 0), "", false},
		{"more than careful", nil, dose(0.6, "dKH", 0), "a rise of 0.60 dKH is more", false},
		{"more than careful in another unit", nil, dose(0.4, "meq/L", 0), "a rise of 1.12 dKH is more", false},
		{"past what water can have, from the last reading", nil, dose(93, "dKH", 0), "", true},
		{"a dosing counts by what it adds to the one it replaces", nil, dosing(1.4, "soda ash", 0), "", false},
		{"of another supplement it adds all of it", nil, dosing(1.4, "limewater", 0),
			"right only if the tank consumes as much", false},
		{"a stop of what runs", nil, dosing(0, "soda ash", 0), "", false},
		{"a stop that names nothing, while soda ash runs", nil, dosing(0, "", 0), "", true},
		{"a stop of another, while soda ash runs", nil, dosing(0, "limewater", 0), "", true},
		{"a stop where nothing runs", nil, calcium, "", false},
		{"of a volume, what never ran beside what runs", nil, calciumOf, "", false},
		{"other kinds are not doubted", nil, logbook.Event{Time: at, Tank: "forereef", Text: "fed"}, "", false},

		{"the sixth careful dose of a day", six, dose(0.5, "dKH", 0),
			"with 2.5 dKH more within 24 hours, a rise of 3.00 dKH is more", false},
		{"one that was noted late counts with what came after it", six[:1], dose(0.3, "dKH", 8*hour), "with 0.5 dKH more",
			false},
		{"a dose of the day before yesterday is past", []logbook.Entry{dose(0.5, "dKH", 25*hour)}, dose(0.4, "dKH", 0), "",
			false},
		{"two more dosings under other names", []logbook.Entry{dosing(0.4, "limewater", hour)},
			dosing(0.4, "carbonate mix", 0), "a rise of 0.80 dKH is more", false},
		{"what has run for days is taken to be consumed", []logbook.Entry{dosing(0.4, "limewater", 3*day)},
			dosing(0.4, "carbonate mix", 0), "", false},
		{"the same dose within the hour", []logbook.Entry{dose(0.2, "dKH", hour/2)}, dose(0.2, "dKH", 0),
			"the same dose was noted at 08:30", false},
		{"the same amount of another supplement",
			[]logbook.Entry{logbook.Dose{Time: at.Add(-hour / 2), Tank: "forereef", Parameter: "alkalinity", Amount: 0.2,
				Unit: "dKH", Supplement: "soda ash"}}, dose(0.2, "dKH", 0), "", false},
	} {
		b, err := logbook.Create(filepath.Join(t.TempDir(), "rise.book"))
		if err != nil {
			t.Fatal(err)
		}
		records := []logbook.Record{logbook.Tank{Name: "forereef"},
			logbook.Reading{Time: at.AddDate(0, 0, -1), Tank: "forereef", Parameter: "alkalinity", Text: "8", Value: 8,
				Unit: "dKH"}, dosing(1, "soda ash", 9*day)}
		for _, e := range c.there {
			records = append(records, e)
		}
		if _, err := b.Append(records...); err != nil {
			t.Fatal(err)
		}
		err = b.View(func(v *logbook.View) error {
			doubts, err := entry.DoubtRises(v, []logbook.Entry{c.e})
			var refused logbook.Refusal
			if said := strings.Join(doubts, "; "); errors.As(err, &refused) != c.refused || (said == "") != (c.doubt == "") ||
				!strings.Contains(said, c.doubt) {
				t.Errorf("%s: %q, %v", c.name, said, err)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

// A daily amount is judged by what the tank is known to take: as much as that is no danger, and as much again is one.
func TestDoubtDosingAgainstDemand(t *testing.T) {
	at := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	b, err := logbook.Create(filepath.Join(t.TempDir(), "demand.book"))
	if err != nil {
		t.Fatal(err)
	}
	var records []logbook.Record
	for day := range 14 { // taken are 0.67 dKH a day, and nothing is dosed
		v := 12.0 - 0.67*float64(day)
		r, err := logbook.ParseReading(logbook.Standard()[0], strconv.FormatFloat(v, 'f', 2, 64), "dKH")
		if err != nil {
			t.Fatal(err)
		}
		r.Tank, r.Time = "forereef", at.AddDate(0, 0, day-14)
		records = append(records, r)
	}
	if _, err := b.Append(append([]logbook.Record{logbook.Tank{Name: "forereef"}}, records...)...); err != nil {
		t.Fatal(err)
	}
	err = b.View(func(v *logbook.View) error {
		for perDay, want := range map[float64]string{0.67: "", 1.34: "of 1.34 dKH a day in all the tank takes about 0.67"} {
			doubts, err := entry.DoubtRises(v,
				[]logbook.Entry{logbook.Dosing{Time: at, Tank: "forereef", Parameter: "alkalinity", PerDay: perDay, Unit: "dKH",
					Supplement: "soda ash"}})
			if said := strings.Join(doubts, "; "); err != nil || (said == "") != (want == "") || !strings.Contains(said, want) {
				t.Errorf("%g dKH a day: %q, %v", perDay, said, err)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
