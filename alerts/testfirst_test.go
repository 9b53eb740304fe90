package alerts

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

// november is the tank of 400 L with readings of one parameter at nine o'clock, by day of November.
func november(t *testing.T, band logbook.Band, name string, days []int, texts []string,
	more ...logbook.Record) Finding {
	t.Helper()
	p := parameter(t, name)
	recs := []logbook.Record{logbook.Tank{Name: "forereef", VolumeL: 400,
		Bands: map[string]logbook.Band{name: band}}}
	for i, text := range texts {
		r := reading(t, name, text, p.Unit)
		r.Tank, r.Time = "forereef", time.Date(2026, 11, days[i], 9, 0, 0, 0, time.UTC)
		recs = append(recs, r)
	}
	r := examined(t, supplyBook(t, append(recs, more...)...), time.Date(2026, 12, 1, 9, 0, 0, 0, time.UTC))
	return r.Findings[0]
}

// nitrateBand is from 3 to 12 with the floor at 1.
func nitrateBand() logbook.Band {
	low, high, floor := 3.0, 12.0, 1.0
	return logbook.Band{Low: &low, High: &high, Floor: &floor, Unit: "mg/L"}
}

// A dose after the last test leaves the level unknown: no place says that it is in the band, or what to dose.
func TestDosedIsNotKnown(t *testing.T) {
	days, texts := []int{2, 6, 10, 14, 18, 22, 26, 30}, []string{"6", "5", "4", "3.2", "2.5", "2", "1.5", "1"}
	dose := func(day int, amount float64) logbook.Record {
		return logbook.Dose{Time: time.Date(2026, 11, day, 12, 0, 0, 0, time.UTC), Tank: "forereef", Parameter: "nitrate",
			Amount: amount, Unit: "mg/L"}
	}
	l := november(t, nitrateBand(), "nitrate", days, texts, dose(30, 5))
	said := []string{l.LevelText(), l.BandWords(), l.FloorText(l.Due), string(l.BandState), string(l.Tested()),
		l.FloorDays()}
	for i, want := range []string{"not known since 5.0 mg/L was dosed, reckoned ", "dosed, untested",
		"not known since the dose: test first", "unknown", "below", ""} {
		if !strings.Contains(said[i], want) || want == "" && said[i] != "" {
			t.Errorf("%q, want %q", said[i], want)
		}
	}
	if a := l.Alerts[0]; a.Headline != "nitrate 1 on 30 Nov, 5.0 dosed since: not known, test first" {
		t.Errorf("%q", a.Headline)
	}
	// A tenth of the dose either way at the least: 1.28 standard deviations are an 80 % interval.
	if as := l.Assessment; as.LevelHi-as.LevelLo < 2*interval80*0.1*5 {
		t.Errorf("%g to %g after a dose of 5", as.LevelLo, as.LevelHi)
	}
	if l = november(t, nitrateBand(), "nitrate", days, texts, dose(30, 0.5)); l.BandState != BandBelow {
		t.Errorf("after half of a careful day's dose: %s", l.BandState)
	}
	var weekly []logbook.Record
	for i := range days {
		weekly = append(weekly, dose(days[i], 1.5))
		texts[i] = fmt.Sprint(5 + float64(i%2)/10)
	}
	if l = november(t, nitrateBand(), "nitrate", days, texts, weekly...); l.DosedSince() != 0 {
		t.Errorf("after a dose like those before: %g", l.DosedSince())
	}
}

// A dose that carries the level over the band, or farther, is told; and whatever was dosed is due for a test now.
func TestOverdosedIsTold(t *testing.T) {
	low, high := 7.5, 9.0
	band := logbook.Band{Low: &low, High: &high, Unit: "dKH"}
	dose := func(amount float64) logbook.Record {
		return logbook.Dose{Time: time.Date(2026, 11, 30, 12, 0, 0, 0, time.UTC), Tank: "forereef", Parameter: "alkalinity",
			Amount: amount, Unit: "dKH"}
	}
	days := []int{14, 18, 22, 26, 30}
	for _, c := range []struct {
		texts []string
		dosed float64
		above bool
	}{
		{[]string{"9.6", "9.7", "9.6", "9.5", "9.6"}, 1.5, true},
		{[]string{"8.2", "8.1", "8.2", "8.3", "8.2"}, 4, true},
		{[]string{"7.6", "7.7", "7.6", "7.5", "7.6"}, 1.2, false},
	} {
		l := november(t, band, "alkalinity", days, c.texts, dose(c.dosed))
		if told := l.has(RuleAboveBand); told != c.above || !l.OnTestDay(time.Date(2026, 12, 1, 9, 0, 0, 0, time.UTC)) {
			t.Errorf("%v, dosed %g: above the band %v, due %v", c.texts, c.dosed, told, l.Due)
		}
	}
}

// Of a level that is below its floor now, the chance is that of the day: it can fall, which that of "within" cannot.
func TestChanceBelowTheFloor(t *testing.T) {
	l := november(t, nitrateBand(), "nitrate", []int{10, 14, 18, 22, 26, 30},
		[]string{"4", "3.2", "2.5", "2", "1.2", "0.6"})
	dosed := l.WhatIf(time.Date(2026, 12, 1, 9, 0, 0, 0, time.UTC),
		[]trend.Input{{Day: l.Assessment.AsOf, Kind: trend.Dosing, Amount: 0.5}})
	for _, f := range slices.Concat(l.Assessment.Forecast, dosed.Forecast) {
		if (f.Below > 0.5) != (f.Mean < 1) || f.Below < 0 || f.Below > 1 {
			t.Errorf("in %g days %.2f, with the chance %.2f to be below 1", f.Days, f.Mean, f.Below)
		}
	}
	if chance, already := l.FloorChance(dosed, 28); chance != "under 1 %" || !already {
		t.Errorf("with dosing below the floor in 28 days: %s, %v", chance, already)
	}
	high := november(t, nitrateBand(), "nitrate", []int{10, 14, 18, 22}, []string{"4", "3.2", "2.5", "2"})
	want := words.Percent(high.Assessment.PFloor42)
	if chance, already := high.FloorChance(high.Assessment, 42); chance != want || already {
		t.Errorf("above the floor, below it within 42 days: %s, %v", chance, already)
	}
}

// While the latest reading does not fit, the advice is to test again.
func TestSuspectIsTestedAgain(t *testing.T) {
	low, high := 1280.0, 1400.0
	nitrate := november(t, nitrateBand(), "nitrate", []int{27, 28, 29, 30}, []string{"5.5", "50", "<1", "0"})
	magnesium := november(t, logbook.Band{Low: &low, High: &high, Unit: "mg/L"}, "magnesium", []int{14, 18, 22, 29, 30},
		[]string{"1340", "1330", "1340", "1", "405"})
	for want, l := range map[string]Finding{
		"nitrate about 0.8, probably at your floor 1.0 now: test again first": nitrate,
		"magnesium 405, below your band 1280–1400: test again first":          magnesium,
	} {
		if got := texts(l.Alerts); got[0] != want {
			t.Errorf("%q, want %q", got, want)
		}
		if err := l.RefusePlan(); err == nil || !strings.Contains(err.Error(), "does not fit those before it") {
			t.Errorf("a plan: %v", err)
		}
	}
}

// The caution that is of this tank today stands before those of every plan and of the supplement.
func TestCautionOfTodayIsFirst(t *testing.T) {
	low := 7.0
	recs := []logbook.Record{logbook.Tank{Name: "forereef", VolumeL: 400, Bands: map[string]logbook.Band{
		"nitrate": nitrateBand(), "alkalinity": {Low: &low, Unit: "dKH"}}}}
	for i, text := range []string{"4", "3.2", "2.5", "2", "1.2", "0.6"} {
		for name, text := range map[string]string{"nitrate": text, "alkalinity": "8"} {
			r := reading(t, name, text, parameter(t, name).Unit)
			r.Tank, r.Time = "forereef", time.Date(2026, 11, 10+4*i, 9, 0, 0, 0, time.UTC)
			recs = append(recs, r)
		}
	}
	var plan Plan
	err := supplyBook(t, recs...).View(func(v *logbook.View) error {
		tank, err := v.Tank("forereef")
		if err != nil {
			return err
		}
		w := Wish{Target: 9, Strength: 20, Cautions: []water.Caution{{Topic: "the supplement", Brief: "It is caustic."}}}
		plan, err = PlanOf(v, tank, alkalinity(t), time.Date(2026, 12, 1, 9, 0, 0, 0, time.UTC), w)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := plan.Cautions()[0].Topic; got != "alkalinity and nutrients" {
		t.Errorf("%q is first", got)
	}
}

// New media bind what is near nothing already: the chore waits. What binds something else does not.
func TestMediaWaitForTheNutrient(t *testing.T) {
	nitrate, near := Finding{Series: Series{Parameter: parameter(t, "nitrate")}},
		Finding{Series: Series{Parameter: parameter(t, "phosphate")}}
	near.Assessment.BottomedOut = true
	r := Report{Findings: []Finding{nitrate, near}}
	late := func(name string) string {
		a := Alert{Subject: name, Rule: RuleChoreDue, Headline: name + " 10 days late: do it today"}
		r.PutUpkeep(Upkeep{Alerts: []Alert{a}})
		return r.Alerts[0].Headline
	}
	for name, want := range map[string]string{
		"reactor media":    "reactor media is late, but phosphate is near nothing: wait with it",
		"GFO":              "GFO is late, but phosphate is near nothing: wait with it",
		"nitrate resin":    "nitrate resin 10 days late: do it today",
		"activated carbon": "activated carbon 10 days late: do it today",
		"skimmer cup":      "skimmer cup 10 days late: do it today",
	} {
		if got := late(name); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	r.Findings[1].Assessment.BottomedOut = false
	if got := late("reactor media"); got != "reactor media 10 days late: do it today" {
		t.Errorf("with phosphate where it should be: %q", got)
	}
}
