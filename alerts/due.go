package alerts

import (
	"cmp"
	"fmt"
	"math"
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
