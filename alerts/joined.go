package alerts

import (
	"leadline/alerts/words"
	"slices"
	"strings"
	"time"
)

// Joined is a list of alerts for reading: the open overdue tests of a tank, which many months away leave one of each
// parameter, are one alert in the place of the first, that names them all, the longest overdue first. It is about no
// parameter and has no evidence; who answers alerts, or hands them to a program, takes them one by one. asOf is the moment
// each tank was examined at.
func Joined(as []Alert, asOf map[string]time.Time) []Alert {
	overdue := map[string][]Alert{} // by tank
	for _, a := range as {
		if a.Rule == RuleOverdue && a.Open(asOf[a.Tank]) {
			overdue[a.Tank] = append(overdue[a.Tank], a)
		}
	}
	var out []Alert
	told := map[string]bool{}
	for _, a := range as {
		late := overdue[a.Tank]
		if a.Rule != RuleOverdue || !a.Open(asOf[a.Tank]) || len(late) < 2 {
			out = append(out, a)
			continue
		}
		if !told[a.Tank] {
			told[a.Tank] = true
			out = append(out, joinOverdue(late))
		}
	}
	return out
}

func joinOverdue(late []Alert) Alert {
	late = slices.Clone(late)
	slices.SortStableFunc(late, func(a, b Alert) int { return a.Since.Compare(b.Since) })
	one := Alert{Tank: late[0].Tank, Rule: RuleOverdue, Severity: late[0].Severity, Since: late[0].Since}
	// Those of one day are named together.
	var days []string
	for i := 0; i < len(late); {
		day := words.Day(late[i].Since)
		var names []string
		for ; i < len(late) && words.Day(late[i].Since) == day; i++ {
			one.Severity = max(one.Severity, late[i].Severity)
			names = append(names, late[i].Parameter)
		}
		days = append(days, strings.Join(names, ", ")+" on "+day)
	}
	one.Text = "tests were due: " + strings.Join(days, "; ")
	return one
}

// Joined are the alerts of the tank for reading.
func (r Report) Joined() []Alert {
	return Joined(r.Alerts, map[string]time.Time{r.Tank.Name: r.AsOf})
}
