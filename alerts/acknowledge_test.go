package alerts

import (
	"testing"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
)

func TestAnswer(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2026, 3, d, 9, 0, 0, 0, time.UTC) }
	raised := Alert{Tank: "forereef", Parameter: "phosphate", Rule: RuleBottomingOut, Since: day(10)}
	ack := logbook.Acknowledgement{Time: day(11), Tank: "forereef", Parameter: "phosphate", Rule: "bottoming_out"}
	with := func(change func(*logbook.Acknowledgement)) logbook.Entry {
		a := ack
		change(&a)
		return a
	}
	for _, c := range []struct {
		name string
		ack  logbook.Entry
		open bool // at day 12
	}{
		{"seen", ack, false},
		{"seen before it was raised again", with(func(a *logbook.Acknowledgement) { a.Time = day(9) }), true},
		{"seen later than the moment asked about", with(func(a *logbook.Acknowledgement) { a.Time = day(13) }), true},
		{"another parameter", with(func(a *logbook.Acknowledgement) { a.Parameter = "nitrate" }), true},
		{"another rule", with(func(a *logbook.Acknowledgement) { a.Rule = "overdue" }), true},
		{"snoozed", with(func(a *logbook.Acknowledgement) { a.Until = day(20) }), false},
		{"snoozed before it was raised again", with(func(a *logbook.Acknowledgement) { a.Time, a.Until = day(9), day(20) }),
			false},
		{"snooze over", with(func(a *logbook.Acknowledgement) { a.Until = day(12) }), true},
	} {
		as := []Alert{raised}
		applyAnswers(as, []logbook.Entry{c.ack}, day(12))
		if got := as[0].Open(day(12)); got != c.open {
			t.Errorf("%s: open %v, want %v", c.name, got, c.open)
		}
	}
}

func TestAlertOrder(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2026, 3, d, 9, 0, 0, 0, time.UTC) }
	as := []Alert{
		{Rule: "answered", Severity: Urgent, Since: day(1), Acknowledged: true},
		{Rule: "mild", Severity: Notice, Since: day(1)},
		{Rule: "younger", Severity: Urgent, Since: day(3)},
		{Rule: "older", Severity: Urgent, Since: day(2)},
	}
	Sort(as, day(4))
	for i, want := range []Rule{"older", "younger", "mild", "answered"} {
		if as[i].Rule != want {
			t.Errorf("place %d: %s, want %s", i, as[i].Rule, want)
		}
	}
}

// What was acknowledged stays so while weekly tests find the level where it was, on whichever side of the edge the
// scatter of the method puts them; once the level was back in the band, it asks again.
func TestAcknowledgedBandStaysQuiet(t *testing.T) {
	low, high := 8.0, 9.0
	week := func(n int) time.Time { return marchDay(1).AddDate(0, 0, 7*n) }
	recs := []logbook.Record{logbook.Tank{Name: "forereef", VolumeL: 400,
		Bands: map[string]logbook.Band{"alkalinity": {Low: &low, High: &high}}}}
	test := func(n int, v float64) {
		recs = append(recs, logbook.Reading{Time: week(n), Tank: "forereef", Parameter: "alkalinity", Text: "x", Unit: "dKH",
			Value: v})
	}
	for n, v := range []float64{7.9, 7.8, 8.0, 7.9, 7.8, 7.9, 8.0, 7.9} {
		test(n, v)
	}
	recs = append(recs, logbook.Acknowledgement{Time: week(7).Add(time.Hour), Tank: "forereef", Parameter: "alkalinity",
		Rule: string(RuleBelowBand)})
	test(8, 8.0)
	test(9, 7.8)
	state := func(n int) string {
		for _, a := range examined(t, supplyBook(t, recs...), week(n).Add(2*time.Hour)).Alerts {
			if a.Rule == RuleBelowBand {
				return map[bool]string{true: "open", false: "quiet"}[a.Open(week(n))]
			}
		}
		return "none"
	}
	for n := 7; n <= 9; n++ {
		if got := state(n); got != "quiet" {
			t.Errorf("week %d: %s, want quiet", n, got)
		}
	}
	for n := 10; n < 16; n++ {
		test(n, 8.5)
	}
	if got := state(15); got != "none" {
		t.Fatalf("back in the band: %s", got)
	}
	for n := 16; n < 24; n++ {
		test(n, 7.8)
	}
	if got := state(23); got != "open" {
		t.Errorf("below it once more: %s, want open", got)
	}
}

// fallingNitrate is a tank whose nitrate falls by 1 mg/L a week towards a floor of 2, as seen so many weeks after the
// start, with the answers given.
func fallingNitrate(t *testing.T, asOf time.Time, answers ...logbook.Record) Alert {
	t.Helper()
	low, floor := 4.0, 2.0
	recs := []logbook.Record{logbook.Tank{Name: "forereef", VolumeL: 400,
		Bands: map[string]logbook.Band{"nitrate": {Low: &low, Floor: &floor}}}}
	for n := 0; ; n++ {
		at := marchDay(1).AddDate(0, 0, 7*n)
		if at.After(asOf) {
			break
		}
		recs = append(recs, logbook.Reading{Time: at, Tank: "forereef", Parameter: "nitrate", Text: "x", Unit: "mg/L",
			Value: 11 - float64(n)})
	}
	for _, a := range examined(t, supplyBook(t, append(recs, answers...)...), asOf).Alerts {
		if a.Rule == RuleBottomingOut {
			return a
		}
	}
	return Alert{}
}

// An answer to a warning says nothing of the urgent alert that it grows into; an answer to that one holds.
func TestAnswerToAWarningDoesNotSilenceTheUrgentOne(t *testing.T) {
	var warned, urgent time.Time
	for day := 1; day < 90 && urgent.IsZero(); day++ {
		switch a := fallingNitrate(t, marchDay(day)); {
		case a.Severity == Warning:
			warned = marchDay(day)
		case a.Severity == Urgent:
			urgent = marchDay(day)
		}
	}
	if warned.IsZero() || urgent.IsZero() {
		t.Fatalf("a warning %v, then urgent %v", warned, urgent)
	}
	answer := func(at time.Time, until time.Time) logbook.Acknowledgement {
		return logbook.Acknowledgement{Time: at, Tank: "forereef", Parameter: "nitrate", Rule: string(RuleBottomingOut),
			Until: until}
	}
	later := urgent.AddDate(0, 0, 1)
	for _, c := range []struct {
		name    string
		answers []logbook.Record
		asOf    time.Time
		open    bool
	}{
		{"warning, seen", []logbook.Record{answer(warned, time.Time{})}, warned, false},
		{"warning, seen; urgent", []logbook.Record{answer(warned, time.Time{})}, urgent, true},
		{"warning, snoozed; urgent", []logbook.Record{answer(warned, urgent.AddDate(0, 0, 30))}, urgent, true},
		{"urgent, seen", []logbook.Record{answer(warned, time.Time{}), answer(urgent, time.Time{})}, later, false},
		{"urgent, snoozed", []logbook.Record{answer(urgent, urgent.AddDate(0, 0, 30))}, later, false},
	} {
		if got := fallingNitrate(t, c.asOf, c.answers...); got.Rule == "" || got.Open(c.asOf) != c.open {
			t.Errorf("%s: %q, %v, open %v, want %v", c.name, got.Rule, got.Severity, got.Open(c.asOf), c.open)
		}
	}
}

func TestSupplyIsKnownBeforeTheFirstReading(t *testing.T) {
	low := 400.0
	dosing := func(day int, perDay float64) logbook.Dosing {
		return logbook.Dosing{Time: marchDay(day), Tank: "forereef", Parameter: "calcium", PerDay: perDay,
			Supplement: "calcium chloride"}
	}
	b := supplyBook(t, logbook.Tank{Name: "forereef", Bands: map[string]logbook.Band{"calcium": {Low: &low}}},
		dosing(1, 5), dosing(4, 7))
	for day, want := range map[int]float64{1: 5, 3: 5, 4: 7, 6: 7} {
		near(t, "supply per day", examined(t, b, marchDay(day)).Findings[0].Supply, want)
	}
}

// An answer names its alert in words that can stand in a sentence.
func TestAnswerNamesItsAlert(t *testing.T) {
	for _, c := range []struct {
		ack  logbook.Acknowledgement
		want string
	}{
		{logbook.Acknowledgement{Rule: string(RuleSuspect), Parameter: "phosphate"}, "the far-off reading of phosphate"},
		{logbook.Acknowledgement{Rule: string(RuleOverdue), Parameter: "alkalinity"}, "the overdue test of alkalinity"},
		{logbook.Acknowledgement{Rule: string(RuleChoreDue), Subject: "reactor media"}, "the chore reactor media"},
		{logbook.Acknowledgement{Rule: string(RuleBottomedOut), Parameter: "nitrate"}, "nitrate bottomed out"},
		{logbook.Acknowledgement{Rule: string(RuleBottomingOut), Parameter: "nitrate"}, "nitrate heading for zero"},
		{logbook.Acknowledgement{Rule: string(RuleTestAgain), Parameter: "nitrate"}, "the second test of nitrate"},
		{logbook.Acknowledgement{Rule: string(RuleBelowBand), Parameter: "pH"}, "pH below its band"},
		{logbook.Acknowledgement{Rule: string(RuleAboveBand), Parameter: "pH"}, "pH above its band"},
		{logbook.Acknowledgement{Rule: string(RuleNearLow), Parameter: "pH"}, "pH near its lower edge"},
		{logbook.Acknowledgement{Rule: string(RuleNearHigh), Parameter: "pH"}, "pH near its upper edge"},
		{logbook.Acknowledgement{Rule: string(RuleStockLow), Subject: "soda ash"}, "the low stock of soda ash"},
		{logbook.Acknowledgement{Rule: string(RuleExpired), Subject: "soda ash"}, "the expiry of soda ash"},
		{logbook.Acknowledgement{Rule: string(RuleSwing), Parameter: "pH"}, "the swing of pH"},
	} {
		if got := words.Alert(c.ack); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
