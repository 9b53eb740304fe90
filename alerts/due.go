package alerts

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
)

// A test counts as overdue when it is late by a quarter of its interval and by a day at least (common practice, no
// source): a weekly test done on Sunday instead of Saturday is no alert.
const (
	lateShare = 0.25
	lateDays  = 1
)

// everyDays is how often a parameter is tested: as the keeper set it; else as the readings show, once there are four of
// them (the median gap, to whole days); else, for a parameter with a band, its usual interval; else 0, on occasion.
func everyDays(b Band, p logbook.Parameter, readings []logbook.Reading) float64 {
	if b.EveryDays > 0 {
		return b.EveryDays
	}
	gaps := daysBetween(words.Of(readings[max(0, len(readings)-recent):], logbook.Reading.When))
	if len(gaps) >= 3 {
		return math.Max(1, math.Round(gaps[len(gaps)/2]))
	}
	if b.Set() || !math.IsNaN(b.Floor) {
		return p.EveryDays
	}
	return 0
}

// overdue says whether a test that is late by some days is late enough to be spoken of.
func overdue(late, every float64) bool { return late >= math.Max(lateDays, lateShare*every) }

// tooOld says whether the latest reading is older than the parameter's interval allows, so that a level is no longer
// known from it. Of one that is tested on occasion the interval is its usual one.
func (s Series) tooOld(asOf float64) bool {
	every := s.usualDays()
	n := len(s.Readings)
	return n > 0 && every > 0 && overdue(asOf-Day(s.Readings[n-1].Time)-every, every)
}

// usualDays is everyDays or, of what is tested on occasion, the usual interval of the parameter.
func (s Series) usualDays() float64 { return cmp.Or(s.everyDays(), s.Parameter.EveryDays) }

// everyDays is how often the parameter is tested; 0: on occasion. A probe writes every day.
func (s Series) everyDays() float64 {
	if s.probe.writes && s.Band.EveryDays == 0 {
		return 1
	}
	return everyDays(s.Band, s.Parameter, s.Readings)
}

// OnTestDay reports whether a parameter belongs to the test day of a moment: its test falls due on that day, whatever
// the hour, or did before; or there never was one. The day is that of the moment's own zone.
func (l Finding) OnTestDay(at time.Time) bool {
	if l.Due.IsZero() {
		return len(l.Readings) == 0
	}
	return l.Due.In(at.Location()).Format(time.DateOnly) <= at.Format(time.DateOnly)
}

func dueAlert(l Finding, asOf time.Time) (Alert, bool) {
	if l.Due.IsZero() {
		return Alert{}, false
	}
	late := Day(asOf) - Day(l.Due)
	if !overdue(late, l.EveryDays) {
		return Alert{}, false
	}
	return Alert{
		Rule: RuleOverdue, Severity: Notice, Since: l.Due,
		Headline: l.overdueHeadline(late),
		Because:  fmt.Sprintf("due on %s, tested %s", words.Day(l.Due), words.Every(l.EveryDays)),
		Evidence: map[string]any{
			"last_test": logbook.FormatTime(l.latestTime()), "every_days": l.EveryDays, "days_late": math.Floor(late),
		},
	}, true
}

// Due is something that is to be done on a day, or that ends on it.
type Due struct {
	Day           time.Time // its midnight, in the tank's zone; what is late is due today
	Kind, Subject string    // test, chore, stock or expiry; with the tank's name they tell it from all others
	Summary, More string
	Short         string // Summary in two or three words, such as "7 tests"
}

// stockDays is how many days ahead the end of a stock is still worth a word.
const stockDays = 366

// Dues are the next tests, a day's together, the next time of every chore, and when a stock may be used up or expires:
// the earliest first.
func (r Report) Dues() []Due {
	all := r.testsDue()
	on := func(at time.Time) time.Time { return onOrAfter(at.In(r.AsOf.Location()), r.AsOf) }
	for _, c := range r.Chores {
		if !c.Due.IsZero() {
			all = append(all, Due{on(c.Due), "chore", c.Name, c.Name, "last done " + words.Day(c.Last.In(r.AsOf.Location())),
				c.Name})
		}
	}
	for _, s := range r.Stocks {
		if days := s.Out.P10; days < stockDays {
			at := r.AsOf.Add(time.Duration(days * dayNanos))
			all = append(all, Due{on(at), "stock", s.Name, s.Name + ": may be used up from now on",
				"the early end of an 80 % interval", s.Name + " may end"})
		}
		if !s.Expires.IsZero() {
			all = append(all, Due{on(s.Expires.AddDate(0, 0, -1)), "expiry", s.Name, s.Name + ": expires", "",
				s.Name + " expires"})
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
