package alerts

import (
	"math"
	"strings"
	"testing"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
)

// A colony pales on 28 November: with forty readings before new media and four after, the answer names the break and
// the media, though nothing is known of the time after the event.
func TestBreakNamesWhatWasDoneBefore(t *testing.T) {
	at := func(d int) time.Time { return time.Date(2026, 11, 30, 9, 0, 0, 0, time.UTC).AddDate(0, 0, -d) }
	reading := func(d int, text string, value float64) logbook.Record {
		return logbook.Reading{Time: at(d), Tank: "forereef", Parameter: "phosphate", Text: text, Unit: "mg/L", Value: value}
	}
	low, floor := 0.03, 0.015
	recs := []logbook.Record{logbook.Tank{Name: "forereef", VolumeL: 400,
		Bands: map[string]logbook.Band{"phosphate": {Low: &low, Floor: &floor, Unit: "mg/L"}}}}
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
	want := "phosphate fell by 80 %: 0.051 until 31 Oct, 0.010 from 6 Nov; about then: phosphate media done, new brand " +
		"(2 Nov)"
	if got := c.Breaks[0].Text(c.Known); got != want {
		t.Errorf("%q\nwant %q", got, want)
	}
	if p := c.Parameters[0]; p.Comparison.NAfter != 0 || words.Number(p.Parameter, p.Earlier) != "0.051" ||
		len(c.Done) != 2 {
		t.Errorf("%+v, %d done", p, len(c.Done))
	}
	// The alert of the low level tells the same.
	report := examined(t, b, at(2))
	err = b.View(func(v *logbook.View) error {
		causes, err := Causes(v, []Report{report})
		if causes["forereef"]["phosphate"] != want {
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
		t.Errorf("%v %d breaks: %s", err, len(c.Breaks),
			strings.Join(words.Of(c.Breaks, func(b Break) string { return b.Text(c.Known) }), "; "))
	}
}

// A straight slide has no day on which it began, and nothing that was done is blamed for it; a level that bends has
// one.
func TestSlideWithoutABreak(t *testing.T) {
	zone := time.UTC
	day := func(i int) time.Time { return time.Date(2026, 9, 15, 9, 0, 0, 0, zone).AddDate(0, 0, 7*i) }
	course := func(values ...float64) (obs []trend.Observation) {
		for i, v := range values {
			obs = append(obs, trend.Observation{Day: Day(day(i)), Value: v, Lo: v - 0.05, Hi: v + 0.05, SD: 0.3})
		}
		return obs
	}
	done := []logbook.Entry{logbook.ChoreDone{Time: day(4).AddDate(0, 0, -2), Tank: "forereef", Chore: "floss"}}
	p := parameter(t, "nitrate")
	for _, c := range []struct {
		values []float64
		want   string
	}{
		{[]float64{9.2, 8.7, 8.0, 7.6, 6.9, 6.3, 5.6, 5.0, 4.4, 3.7, 3.0},
			"nitrate fell steadily by 60 %: 9.2 on 15 Sep, 3.7 of late"},
		{[]float64{9.1, 8.9, 9.0, 9.2, 9.0, 8.1, 7.0, 6.1, 5.0, 4.1, 3.0},
			"nitrate fell by 54 %: 9.0 until 13 Oct, 4.1 of late; about then: floss done (11 Oct)"},
	} {
		b, ok := breakOf(p, course(c.values...), done, zone)
		if got := b.Text(words.Known{}); !ok || got != c.want {
			t.Errorf("%v %q\nwant %q", ok, got, c.want)
		}
	}
}

// Level, rate and date fit each other: where the level falls, the floor is told no later than the rate brings it there.
func TestFloorDateFitsTheRate(t *testing.T) {
	asOf := time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC)
	l := said(t, "nitrate", "5", 5, Band{Low: 3, High: 12, Floor: 2},
		trend.Assessment{Level: 5, LevelLo: 4.8, LevelHi: 5.2, Floor: 2, PFloor42: 0.4,
			Direction: trend.Falling, SlopePerWeek: -0.52, SlopeLo: -0.7, SlopeHi: -0.3, FloorP10: 21, FloorP50: 110,
			FloorP90: math.Inf(1)})
	if got, want := l.FloorText(asOf), "at the floor of 2.0 mg/L about 13 Apr, maybe by 25 Mar"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	l.Assessment.Direction = trend.Unknown
	if got, want := l.FloorText(asOf), "at the floor of 2.0 mg/L about 22 Jun, maybe by 25 Mar"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
