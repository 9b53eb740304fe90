package logbook

import (
	"errors"
	"testing"
	"time"
)

// The greatest careful rise of alkalinity is 0.5 dKH a day (common practice, no source: testdata/reference/practice.json),
// and no water has more than Parameter.Max, 100 dKH.
func TestDoubtRise(t *testing.T) {
	b := testBook(t)
	at := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	mustAppend(t, b, Tank{Name: "forereef"},
		testReading("forereef", "alkalinity", at.AddDate(0, 0, -1), "8", 8),
		Dosing{Time: at.AddDate(0, 0, -9), Tank: "forereef", Parameter: "alkalinity", PerDay: 1, Unit: "dKH", Supplement: "soda ash"})
	dose := func(amount float64, unit string) Entry {
		return Dose{Time: at, Tank: "forereef", Parameter: "alkalinity", Amount: amount, Unit: unit}
	}
	dosing := func(perDay float64, supplement string) Entry {
		return Dosing{Time: at, Tank: "forereef", Parameter: "alkalinity", PerDay: perDay, Unit: "dKH", Supplement: supplement}
	}
	for _, c := range []struct {
		name           string
		e              Entry
		doubted, wrong bool
	}{
		{"careful", dose(0.4, "dKH"), false, false},
		{"more than careful", dose(0.6, "dKH"), true, false},
		{"more than careful in another unit", dose(0.4, "meq/L"), true, false},
		{"past what water can have, from the last reading", dose(93, "dKH"), false, true},
		{"a dosing counts by what it adds to the one it replaces", dosing(1.4, "soda ash"), false, false},
		{"of another supplement it adds all of it", dosing(1.4, "limewater"), true, false},
		{"a stop of what runs", dosing(0, "soda ash"), false, false},
		{"a stop that names nothing, while soda ash runs", dosing(0, ""), false, true},
		{"a stop of another, while soda ash runs", dosing(0, "limewater"), false, true},
		{"a stop where nothing runs", Dosing{Time: at, Tank: "forereef", Parameter: "calcium", Unit: "mg/L"}, false, false},
		{"of a volume, what never ran beside what runs", Dosing{Time: at, Tank: "forereef", Parameter: "calcium", Unit: "mg/L", Supplement: "soda ash"}, false, false},
		{"other kinds are not doubted", Event{Time: at, Tank: "forereef", Text: "fed"}, false, false},
	} {
		mustView(t, b, func(v *View) error {
			why, doubted, err := v.DoubtRise(c.e)
			var refused Refusal
			if errors.As(err, &refused) != c.wrong || doubted != c.doubted || doubted != (why != "") {
				t.Errorf("%s: %q, %v, %v", c.name, why, doubted, err)
			}
			return nil
		})
	}
}
