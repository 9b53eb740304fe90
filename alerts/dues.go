package alerts

import (
	"slices"
	"strings"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
)

// Due is something that is to be done on a day, or that ends on it.
type Due struct {
	Day           time.Time // its midnight, in the tank's zone; what is late is due today
	Kind, Subject string    // test, chore, stock or expiry; with the tank's name they tell it from all others
	Summary, More string
	Short         string // Summary in two or three words, such as "7 tests"
}

// stockDays is how many days ahead the end of a stock is still worth a word.
const stockDays = 366

// Dues are the next tests, a day's together, the next time of every chore, and when a stock may be used up or expires: the
// earliest first.
func (r Report) Dues() []Due {
	all := r.testsDue()
	on := func(at time.Time) time.Time { return onOrAfter(at.In(r.AsOf.Location()), r.AsOf) }
	for _, c := range r.Chores {
		if !c.Due.IsZero() {
			all = append(all, Due{on(c.Due), "chore", c.Name, c.Name, "last done " + words.Day(c.Last.In(r.AsOf.Location())), c.Name})
		}
	}
	for _, s := range r.Stocks {
		if days := s.Out.P10; days < stockDays {
			at := r.AsOf.Add(time.Duration(days * dayNanos))
			all = append(all, Due{on(at), "stock", s.Name, s.Name + ": may be used up from now on", "the early end of an 80 % interval", s.Name + " may end"})
		}
		if !s.Expires.IsZero() {
			all = append(all, Due{on(s.Expires.AddDate(0, 0, -1)), "expiry", s.Name, s.Name + ": expires", "", s.Name + " expires"})
		}
	}
	for i := range all {
		all[i].Short = logbook.Clean(all[i].Short)
	}
	slices.SortStableFunc(all, func(a, b Due) int { return a.Day.Compare(b.Day) })
	return all
}

func (r Report) testsDue() []Due {
	names := map[time.Time][]string{}
	var days []time.Time
	for _, l := range r.Findings {
		if l.Due.IsZero() {
			continue
		}
		day := onOrAfter(l.Due.In(r.AsOf.Location()), r.AsOf)
		if names[day] == nil {
			days = append(days, day)
		}
		names[day] = append(names[day], l.Parameter.Name)
	}
	var all []Due
	for _, day := range days {
		short := words.Plural(len(names[day]), "test", "tests")
		all = append(all, Due{day, "test", day.Format("20060102"), "test " + strings.Join(names[day], ", "), "", short})
	}
	return all
}

// onOrAfter is the day of a moment, or today where that is past.
func onOrAfter(t, today time.Time) time.Time {
	if t.Before(today) {
		t = today
	}
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, today.Location())
}
