package alerts

import (
	"slices"
	"time"

	"leadline/alerts/words"
)

// Joined is a list of alerts for reading: the overdue tests of a tank, of which a missed test day leaves one of each
// parameter, are one alert in the place of the first, the longest overdue first; those that were answered are one of their
// own. It is about no parameter, and an answer to it answers them all. asOf is the moment each tank was examined at.
func Joined(as []Alert, asOf map[string]time.Time) []Alert {
	together := func(a, b Alert) bool {
		at := asOf[a.Tank]
		return a.Rule == RuleOverdue && b.Rule == RuleOverdue && a.Tank == b.Tank && a.Answer(at) == b.Answer(at)
	}
	var out []Alert
	for i, a := range as {
		if slices.ContainsFunc(as[:i], func(b Alert) bool { return together(a, b) }) {
			continue
		}
		late := slices.DeleteFunc(slices.Clone(as), func(b Alert) bool { return !together(a, b) })
		if len(late) > 1 {
			slices.SortStableFunc(late, func(a, b Alert) int { return a.Since.Compare(b.Since) })
			a = late[0]
			a.Parameter, a.Evidence, a.Headline = "", nil, overdueTogether(late)
			a.Because = words.List(late, func(a Alert) string { return a.Parameter + " since " + words.ShortDay(a.Since) })
		}
		out = append(out, a)
	}
	return out
}

// Joined are the alerts of the tank for reading.
func (r Report) Joined() []Alert {
	return Joined(r.Alerts, map[string]time.Time{r.Tank.Name: r.AsOf})
}
