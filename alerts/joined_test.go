package alerts

import (
	"testing"
	"time"
)

func TestJoinedOverdue(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2026, 3, d, 9, 0, 0, 0, time.UTC) }
	late := func(tank, parameter string, d int) Alert {
		return Alert{Tank: tank, Parameter: parameter, Rule: RuleOverdue, Severity: Notice, Since: day(d), Text: parameter}
	}
	seen := late("forereef", "pH", 1)
	seen.Acknowledged = true
	as := []Alert{late("forereef", "calcium", 5), {Tank: "forereef", Parameter: "nitrate", Rule: RuleBelowBand, Text: "low"},
		late("forereef", "alkalinity", 3), late("lagoon", "calcium", 2), late("forereef", "magnesium", 5), seen}
	var got []string
	for _, a := range Joined(as, map[string]time.Time{"forereef": day(20), "lagoon": day(20)}) {
		got = append(got, a.Tank+": "+a.Text)
	}
	want := []string{"forereef: tests were due: alkalinity on 3 Mar 2026; calcium, magnesium on 5 Mar 2026", "forereef: low", "lagoon: calcium", "forereef: pH"}
	if len(got) != len(want) {
		t.Fatalf("%q", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("%q, want %q", got[i], want[i])
		}
	}
	if len(as) != 6 || as[0].Text != "calcium" {
		t.Error("the list it was given was changed")
	}
}
