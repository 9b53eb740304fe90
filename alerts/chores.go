package alerts

import (
	"fmt"
	"math"
	"slices"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
)

const (
	choreHistoryDays = HistoryDays // how far back done-entries are looked at
	recentChores     = 25          // of them, the last ones are habit
	fewestChoreGaps  = 3           // between done-entries, before an interval is learned
)

// Chore is a chore as-of a moment: when it was last done and when it comes round again. Unknown numbers are NaN and
// unknown times zero; Why says why.
type Chore struct {
	logbook.Chore
	Last     time.Time // when it was last done
	Times    int       // how often it was done, of late
	Interval float64   // days: as given, else the median gap between the times it was done
	Learned  bool
	Lo, Hi   float64 // days: between these lies the next gap, if it is learned, ...
	Coverage float64 // ... with this chance
	Due      time.Time
	DueLo    time.Time // Last + Lo
	DueHi    time.Time // Last + Hi
	Why      string    // why there is no Due; "" if there is
}

func choresOf(v *logbook.View, t logbook.Tank, asOf time.Time) ([]Chore, error) {
	list, err := v.Chores(t.Name)
	if err != nil || len(list) == 0 {
		return nil, err
	}
	done, err := v.Entries(t.Name, logbook.KindChoreDone, asOf.AddDate(0, 0, -choreHistoryDays), asOf)
	if err != nil {
		return nil, err
	}
	times := map[string][]time.Time{}
	for _, e := range done {
		if d, ok := e.(logbook.ChoreDone); ok {
			times[d.Chore] = append(times[d.Chore], d.Time)
		}
	}
	return words.Of(list, func(c logbook.Chore) Chore { return ChoreOf(c, times[c.Name], asOf.Location()) }), nil
}

// ChoreOf works out when a chore comes round again from the times it was done, in time order. A given interval holds as
// it is. A learned one is the median gap; the next gap lies between the i-th smallest and the i-th largest of n gaps
// with a chance of (n + 1 - 2i)/(n + 1), whatever their distribution, if gaps are alike and independent. i is chosen so
// that the chance is 80 %, or as much of it as so few gaps can give: 50 % with three, 80 % with nine.
//
// Reference: Wilks S.S. (1941) Determination of sample sizes for setting tolerance limits. Ann. Math. Statist. 12,
// 91-96 (from memory; the statement follows from the n + 1 places of a new value among n being equally likely).
func ChoreOf(c logbook.Chore, done []time.Time, zone *time.Location) Chore {
	ch := Chore{Chore: c, Times: len(done), Interval: math.NaN(), Lo: math.NaN(), Hi: math.NaN(), Coverage: math.NaN()}
	if len(done) == 0 {
		ch.Why = "not done yet"
		return ch
	}
	ch.Last = done[len(done)-1]
	after := func(days float64) time.Time { return ch.Last.Add(time.Duration(days * dayNanos)).In(zone) }
	if c.EveryDays > 0 {
		ch.Interval = c.EveryDays
		ch.Due = after(ch.Interval)
		return ch
	}
	gaps := daysBetween(done[max(0, len(done)-recentChores-1):])
	n := len(gaps)
	if n < fewestChoreGaps {
		ch.Why = fmt.Sprintf("too few to learn how often it comes round: needs to be done %d times, was done %d",
			fewestChoreGaps+1, n+1)
		return ch
	}
	ch.Learned = true
	ch.Interval = trend.Median(gaps)
	i := max(1, (n+1)/10)
	ch.Lo, ch.Hi, ch.Coverage = gaps[i-1], gaps[n-i], float64(n+1-2*i)/float64(n+1)
	ch.Due, ch.DueLo, ch.DueHi = after(ch.Interval), after(ch.Lo), after(ch.Hi)
	return ch
}

// daysBetween are the days between moments that come in order, sorted. Twice on one day is once.
func daysBetween(times []time.Time) (gaps []float64) {
	for i := 1; i < len(times); i++ {
		if gap := Day(times[i]) - Day(times[i-1]); gap > 0.5 {
			gaps = append(gaps, gap)
		}
	}
	slices.Sort(gaps)
	return gaps
}

// dueAlert speaks up when a chore is late: by a day where the keeper gave the interval; where it is learned, when it is
// also later than it mostly was.
func (c Chore) dueAlert(asOf time.Time) (Alert, bool) {
	if c.Due.IsZero() {
		return Alert{}, false
	}
	from := c.Due
	if c.DueHi.After(from) {
		from = c.DueHi
	}
	if Day(asOf)-Day(from) < lateDays {
		return Alert{}, false
	}
	return Alert{
		Tank: c.Tank, Subject: c.Name, Rule: RuleChoreDue, Severity: Notice, Since: c.Due,
		Headline: c.headline(asOf), Because: c.Text(asOf),
		Evidence: map[string]any{
			"as_of": logbook.FormatTime(asOf), "chore": c.Name, "last_done": logbook.FormatTime(c.Last),
			"every_days": finite(c.Interval), "learned": c.Learned,
			"days_late": math.Floor(Day(asOf) - Day(c.Due)),
		},
	}, true
}

// Text says how often a chore comes round and when it was last done, or why that cannot be told.
func (c Chore) Text(asOf time.Time) string {
	last := "last done on " + words.NearDay(c.Last, asOf)
	switch {
	case c.Last.IsZero() && c.EveryDays > 0:
		return words.Every(c.EveryDays) + "; " + c.Why
	case c.Last.IsZero():
		return c.Why
	case c.Due.IsZero():
		return last + "; " + c.Why
	case c.Learned:
		return fmt.Sprintf("%s, mostly %s (%s: %.0f to %.0f)", last, words.Every(math.Round(c.Interval)),
			words.Percent(c.Coverage), c.Lo, c.Hi)
	}
	return last + ", " + words.Every(math.Round(c.Interval))
}

// DueText is the day a chore comes round again, with its spread where it is learned; "" where it is not known.
func (c Chore) DueText(asOf time.Time) string {
	switch {
	case c.Due.IsZero():
		return ""
	case c.Learned:
		return fmt.Sprintf("%s (%s to %s)", words.NearDay(c.Due, asOf), words.NearDay(c.DueLo, asOf),
			words.NearDay(c.DueHi, asOf))
	}
	return words.NearDay(c.Due, asOf)
}
