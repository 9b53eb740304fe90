package alerts

import (
	"testing"
	"time"

	"leadline/logbook"
)

func TestDuplicates(t *testing.T) {
	p := parameter(t, "phosphate")
	unit, err := p.FindUnit("ppb P")
	if err != nil {
		t.Fatal(err)
	}
	at := func(hour float64, ppb float64, method string, b logbook.Bound) logbook.Reading {
		return logbook.Reading{Time: time.Date(2026, 3, 7, 0, 0, 0, 0,
			time.UTC).Add(time.Duration(hour * float64(time.Hour))),
			Value: unit.Canonical(ppb), Method: method, Bound: b}
	}
	got := duplicates([]logbook.Reading{
		at(0, 10, "a", logbook.Exact), at(1, 12, "a", logbook.Exact), // a pair
		at(2, 14, "a", logbook.Exact),                                // the third of a row starts anew
		at(3, 9, "b", logbook.Exact),                                 // another method
		at(30, 9, "a", logbook.Exact), at(31, 1, "a", logbook.Below), // a bound
		at(60, 8, "a", logbook.Exact), at(70, 9, "a", logbook.Exact), // too far apart
	}, "a", unit)
	if len(got) != 1 || int(got[0][0]+0.5) != 10 || int(got[0][1]+0.5) != 12 {
		t.Errorf("pairs %v, want one of 10 and 12", got)
	}
}
