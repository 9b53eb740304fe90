package alerts

import (
	"testing"
	"time"
)

func TestJoinedOverdue(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2026, 3, d, 9, 0, 0, 0, time.UTC) }
	late := func(tank, parameter string, d int) Alert {
		return Alert{Tank: tank, Parameter: parameter, Rule: RuleOverdue, Severity: Notice, Since: day(d),
			Headline: parameter}
	}
	seen, too := late("forereef", "pH", 1), late("forereef", "salinity", 2)
	seen.Acknowledged, too.Acknowledged = true, true
	as := []Alert{late("forereef", "calcium", 5),
		{Tank: "forereef", Parameter: "nitrate", Rule: RuleBelowBand, Headline: "low"},
		late("forereef", "alkalinity", 3), late("lagoon", "calcium", 2), late("forereef", "magnesium", 5), seen, too}
	var got []string
	for _, a := range Joined(as, map[string]time.Time{"forereef": day(20), "lagoon": day(20)}) {
		got = append(got, a.Tank+": "+a.Headline)
	}
	want := []string{"forereef: 3 tests overdue since 3 Mar: test today", "forereef: low", "lagoon: calcium",
		"forereef: 2 tests overdue since 1 Mar, test today: pH, salinity"}
	if len(got) != len(want) {
		t.Fatalf("%q", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("%q, want %q", got[i], want[i])
		}
	}
	if len(as) != 7 || as[0].Headline != "calcium" {
		t.Error("the list it was given was changed")
	}
}
