package entry_test

import (
	"math"
	"testing"
	"time"

	"leadline/alerts/entry"
	"leadline/logbook"
)

// FuzzAmounts types any text where a form or a flag wants an amount, a level, a share, days or a moment: it is refused
// or is a finite number.
func FuzzAmounts(f *testing.F) {
	for _, text := range []string{"8 ppb P", "1.026 SG 25/25", "10 %", "45 L", "7,9", "<0.02", "3 weeks", "mon 18:00",
		"no3=5 po4=8ppb",
		"1e400", "-0", "NaN", "0x1p9 dKH", "12 us gal", "2026-02-30", "yesterday 9 pm"} {
		f.Add(text)
	}
	now := time.Date(2026, 11, 4, 10, 20, 30, 0, time.UTC)
	tank := logbook.Tank{Name: "forereef", VolumeL: 450}
	finite := func(t *testing.T, what, text string, v float64, err error) {
		t.Helper()
		if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
			t.Errorf("%s %q: %v", what, text, v)
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		v, err := entry.Number(text)
		finite(t, "number", text, v, err)
		v, _, err = entry.Share(text, tank, "%")
		finite(t, "share", text, v, err)
		v, err = entry.Days(text)
		finite(t, "days", text, v, err)
		for _, p := range logbook.Standard() {
			amount, err := entry.Amount(p, text, "")
			finite(t, "amount of "+p.Name, text, amount.Value, err)
			v, _, err = entry.LevelIn(p, text)
			finite(t, "level of "+p.Name, text, v, err)
			v, err = entry.PerDay(p, text)
			finite(t, "daily amount of "+p.Name, text, v, err)
		}
		if at, err := entry.When(text, now); err == nil && (at.Year() < 1 || at.Year() > 9999) {
			t.Errorf("moment %q: %v", text, at)
		}
		_, _ = entry.Assignments(text)
	})
}
