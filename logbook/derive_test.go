package logbook

import (
	"testing"
	"time"
)

// A tank that is told of without a moment, twice and in two ways, stays a tank, whichever line came first.
func TestTankToldTwiceStays(t *testing.T) {
	reading := testReading("reef", "nitrate", testTime(0, 0), "4", 4)
	named := Change{Of: Tank{Name: "reef"}, Who: "someone"}
	later := Method{Name: "card", Parameter: "nitrate", Unit: "mg/L", Step: 1}
	strip := Method{Name: "strip", Parameter: "nitrate", Unit: "mg/L", Step: 1}
	for _, order := range [][][]Record{{{reading}, {named, later}, {strip}}, {{named, later}, {reading}, {strip}}} {
		b := testBook(t)
		for _, recs := range order {
			mustImport(t, b, recs...)
		}
		if err := b.View(func(v *View) error {
			_, err := v.Tank("reef")
			return err
		}); err != nil {
			t.Errorf("%v: %v", order, err)
		}
	}
}

// What no moment could follow is refused.
func TestLastMomentIsRefused(t *testing.T) {
	c := Change{Of: Tank{Name: "reef"}, Noted: time.Date(2199, 12, 31, 23, 59, 59, 0, time.UTC)}
	if err := Validate(c); err == nil {
		t.Error("a change at the end of time is taken")
	}
}
