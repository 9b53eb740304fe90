package alerts

import (
	"strings"
	"testing"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
)

// A colony pales on 28 November: with forty readings before new media and four after, the answer names the break and the
// media, though nothing is known of the time after the event.
func TestBreakNamesWhatWasDoneBefore(t *testing.T) {
	at := func(d int) time.Time { return time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC).AddDate(0, 0, -d) }
	reading := func(d int, text string, value float64) logbook.Record {
		return logbook.Reading{Time: at(d), Tank: "forereef", Parameter: "phosphate", Text: text, Unit: "mg/L", Value: value}
	}
	low, floor := 0.03, 0.015
	recs := []logbook.Record{logbook.Tank{Name: "forereef", VolumeL: 400, Bands: map[string]logbook.Band{"phosphate": {Low: &low, Floor: &floor, Unit: "mg/L"}}}}
	flat := []struct {
		text  string
		value float64
	}{{"0.050", 0.05}, {"0.052", 0.052}, {"0.049", 0.049}, {"0.051", 0.051}}
	for i := range 40 {
		recs = append(recs, reading(30+3*(39-i), flat[i%4].text, flat[i%4].value))
	}
	for i, after := range []struct {
		text  string
		value float64
	}{{"0.030", 0.03}, {"0.012", 0.012}, {"0.010", 0.01}, {"0.010", 0.01}} {
		recs = append(recs, reading(24-7*i, after.text, after.value))
	}
	recs = append(recs,
		logbook.Chore{Tank: "forereef", Name: "phosphate media"},
		logbook.ChoreDone{Time: at(60), Tank: "forereef", Chore: "phosphate media"},
		logbook.ChoreDone{Time: at(28), Tank: "forereef", Chore: "phosphate media", Note: "new brand"},
		logbook.Event{Time: at(2), Tank: "forereef", Text: "a colony pales"},
	)
	b := supplyBook(t, recs...)
	var c Changed
	err := b.View(func(v *logbook.View) (err error) {
		c, err = WhatChanged(v, "forereef", at(2), 28)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Breaks) != 1 {
		t.Fatalf("%d breaks", len(c.Breaks))
	}
	want := "phosphate fell by 80 %: 0.051 until 31 Oct, 0.010 from 6 Nov; just before: phosphate media done, new brand (2 Nov)"
	if got := c.Breaks[0].Text(c.Known); got != want {
		t.Errorf("%q\nwant %q", got, want)
	}
	if p := c.Parameters[0]; p.Comparison.NAfter != 0 || words.Number(p.Parameter, p.Earlier) != "0.051" || len(c.Done) != 2 {
		t.Errorf("%+v, %d done", p, len(c.Done))
	}
	// The alert of the low level tells the same.
	report := examined(t, b, at(2))
	err = b.View(func(v *logbook.View) error {
		causes, err := Causes(v, report)
		if causes["phosphate"] != want {
			t.Errorf("%q", causes)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	// A level that stays has no break.
	err = b.View(func(v *logbook.View) (err error) {
		c, err = WhatChanged(v, "forereef", at(60), 28)
		return err
	})
	if err != nil || len(c.Breaks) != 0 {
		t.Errorf("%v %d breaks: %s", err, len(c.Breaks), strings.Join(words.Of(c.Breaks, func(b Break) string { return b.Text(c.Known) }), "; "))
	}
}
