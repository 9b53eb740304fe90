package words

import (
	"fmt"
	"math"
	"time"

	"leadline/logbook/water"
)

// Day is a moment's day, in its own zone.
func Day(t time.Time) string {
	if t.IsZero() {
		return "no day"
	}
	return t.Format("2 Jan 2006")
}

// ShortDay is a day of this year or the last.
func ShortDay(t time.Time) string { return t.Format("2 Jan") }

// NearDay is a day seen from another one: with its year where that is not the same and the day not within the next
// twelve months.
func NearDay(day, now time.Time) string {
	if day.Year() == now.Year() || !day.Before(now) && day.Before(now.AddDate(1, 0, 0)) {
		return ShortDay(day)
	}
	return Day(day)
}

// Weekday is a day of the weeks to come.
func Weekday(t time.Time) string { return t.Format("Mon 2 Jan") }

// Moment is a moment as people read it, in its own zone.
func Moment(t time.Time) string { return t.Format("2006-01-02 15:04") }

// Days is a length of time in whole days: "1 day", "12 days".
func Days(days float64) string { return Plural(int(math.Floor(days)), "day", "days") }

// Every is how often something comes round: "every day", "every 3.5 days".
func Every(days float64) string {
	whole := len(water.Format(math.Floor(days), 0))
	if text := water.FormatAtMost(days, whole+1); text != "1" {
		return "every " + text + " days"
	}
	return "every day"
}

// Midnights counts those between two moments, in the zone of now: yesterday evening is one day ago in the morning.
func Midnights(from, to time.Time, zone *time.Location) int {
	date := func(t time.Time) time.Time {
		y, m, d := t.In(zone).Date()
		return time.Date(y, m, d, 12, 0, 0, 0, time.UTC)
	}
	return int(math.Round(date(to).Sub(date(from)).Hours() / 24))
}

// Age is how long ago something was, in short: "today", "3 d", "20 w", "2 y".
func Age(then, now time.Time) string {
	text := "today"
	if n, unit := age(then, now); n > 0 {
		text = fmt.Sprintf("%d %s", n, unit[:1])
	}
	return text
}

// Ago is Age in full: "today", "1 day ago", "20 weeks ago".
func Ago(then, now time.Time) string {
	text := "today"
	if n, unit := age(then, now); n > 0 {
		text = Plural(n, unit, unit+"s") + " ago"
	}
	return text
}

func age(then, now time.Time) (n int, unit string) {
	switch days := Midnights(then, now, now.Location()); {
	case days < 100:
		return days, "day"
	case days < 700:
		return days / 7, "week"
	default:
		return days / 365, "year"
	}
}

// Due is how far away the day is on which something is due, in short: "3 d late", "today", "in 3 d".
func Due(day, now time.Time) string {
	switch days := Midnights(now, day, now.Location()); {
	case days < 0:
		return fmt.Sprintf("%d d late", -days)
	case days == 0:
		return "today"
	default:
		return fmt.Sprintf("in %d d", days)
	}
}

// Span is a range of days to come, in short: "9–31 d", "62+ d" where its end is out of sight (+Inf), "any day" where
// only its beginning is here.
func Span(lo, hi float64) string {
	switch {
	case !math.IsInf(hi, 0):
		return fmt.Sprintf("%.0f–%.0f d", lo, hi)
	case lo < 0.5:
		return "any day"
	default:
		return fmt.Sprintf("%.0f+ d", lo)
	}
}
