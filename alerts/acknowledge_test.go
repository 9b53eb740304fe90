package alerts

import (
	"testing"
	"time"

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
		{"snoozed before it was raised again", with(func(a *logbook.Acknowledgement) { a.Time, a.Until = day(9), day(20) }), false},
		{"snooze over", with(func(a *logbook.Acknowledgement) { a.Until = day(12) }), true},
	} {
		as := []Alert{raised}
		answer(as, []logbook.Entry{c.ack}, day(12))
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
	sortAlerts(as, day(4))
	for i, want := range []Rule{"older", "younger", "mild", "answered"} {
		if as[i].Rule != want {
			t.Errorf("place %d: %s, want %s", i, as[i].Rule, want)
		}
	}
}
