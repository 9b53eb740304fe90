package app

import (
	"fmt"
	"strings"
	"time"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// PostDays is how far back a post tells what was done, and the CSV beside it reaches; ChartDays how far back a chart reaches.
const (
	PostDays  = 56
	ChartDays = 112
)

// WindowOf is the moment an answer is for and the beginning of the time it tells of, both in the tank's zone: --since, or so
// many days before.
func (a *App) WindowOf(tank logbook.Tank, sinceFlag string, days int) (asOf, since time.Time, err error) {
	zone := tank.Zone()
	if asOf, err = a.AsOf(tank); err != nil {
		return asOf, since, err
	}
	asOf = asOf.In(zone)
	if since, err = SinceTime(sinceFlag, zone); err != nil {
		return asOf, since, err
	}
	if since.IsZero() {
		since = asOf.AddDate(0, 0, -days)
	}
	since = since.In(zone)
	if !since.Before(asOf) {
		return asOf, since, usage.Errorf("--since takes an earlier time", "--since %s is not before %s", words.Moment(since), words.Moment(asOf))
	}
	return asOf, since, nil
}

// AsOf is the moment an answer about a tank is for: --as-of, else now, to the second. A date alone means the end of
// that day in the tank's zone.
func (a *App) AsOf(t logbook.Tank) (time.Time, error) {
	zone := t.Zone()
	if a.AsOfFlag == "" {
		return a.Now().In(zone).Truncate(time.Second), nil
	}
	if day, ok := DateAlone(a.AsOfFlag, zone); ok {
		return day.AddDate(0, 0, 1).Add(-time.Second), nil
	}
	return ParseMoment("--as-of", a.AsOfFlag, zone)
}

// SinceTime reads a --since: a date alone means its beginning; "" is the zero time.
func SinceTime(text string, zone *time.Location) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	if day, ok := DateAlone(text, zone); ok {
		return day, nil
	}
	return ParseMoment("--since", text, zone)
}

// At is the moment of something that is noted down: --at, else --as-of, else now. A date alone means noon, but today's
// before noon means now: what is noted down has happened.
func (a *App) At(text string, t logbook.Tank) (time.Time, error) {
	if text == "" {
		return a.AsOf(t)
	}
	when, doubt, err := entry.When(text, a.Now().In(t.Zone()))
	if err != nil {
		return when, unreadMoment("--at", err)
	}
	a.Warn(doubt)
	return when, nil
}

// ParseMoment reads the time of a flag.
func ParseMoment(flag, text string, zone *time.Location) (time.Time, error) {
	when, err := logbook.ParseTime(text, zone, logbook.AnyOrder)
	if err != nil {
		return when, unreadMoment(flag, err)
	}
	return when, nil
}

func unreadMoment(flag string, err error) error {
	return usage.Wrong(fmt.Errorf("%s: %w", flag, err), "write 2026-03-07, 2026-03-07T09:10 or 2026-03-07T09:10:00+13:00")
}

// DateAlone reads a date without a time of day as its first moment.
func DateAlone(text string, zone *time.Location) (time.Time, bool) {
	day, err := time.ParseInLocation(time.DateOnly, strings.TrimSpace(text), zone)
	return day, err == nil
}

// ParseZone reads --timezone.
func ParseZone(name string) (*time.Location, error) {
	zone, err := time.LoadLocation(name)
	if err != nil || name == "Local" {
		return nil, usage.Errorf("names are such as Pacific/Auckland or Europe/Lisbon", "--timezone: %q is not a known zone", name)
	}
	return zone, nil
}

// ParseDays reads a length of time in days: "56d", "8w", "56", "3.5 days".
func ParseDays(flag, text string) (float64, error) {
	n, err := entry.Days(text)
	if err != nil {
		return 0, usage.Mistyped(fmt.Errorf("%s: %w", flag, err))
	}
	return n, nil
}

// ClockDoubts says what makes the clock implausible: it stands before the program's own sources, or before what is in
// the book.
func ClockDoubts(v *logbook.View, now time.Time, version shape.Version) (doubts []string, err error) {
	if made, err := time.Parse(time.RFC3339, version.Time); err == nil && now.Before(made.Add(-24*time.Hour)) {
		doubts = append(doubts, fmt.Sprintf("the clock stands at %s, before this program was made (%s)", words.Moment(now), words.Day(made)))
	}
	newest, err := v.NewestAfter(now)
	if !newest.IsZero() {
		doubts = append(doubts, fmt.Sprintf("the clock stands at %s, before the newest entry (%s): is it right? what lies after it does not count yet",
			words.Moment(now), words.Moment(newest.In(now.Location()))))
	}
	return doubts, err
}

// DoubtClock says once, of a command that goes by the clock, that it stands before the newest entry.
func (a *App) DoubtClock(v *logbook.View) error {
	if a.AsOfFlag != "" || a.Lenient || a.Doubted {
		return nil
	}
	a.Doubted = true
	doubts, err := ClockDoubts(v, a.Now(), shape.Version{})
	for _, d := range doubts {
		a.Warn(d)
	}
	return err
}
