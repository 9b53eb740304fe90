package app

import (
	"fmt"
	"time"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// PostDays is how far back a post tells what was done, and the CSV beside it reaches; ChartDays how far back a chart
// reaches.
const (
	PostDays  = 56
	ChartDays = 112
)

// WindowOf is the moment an answer is for and the beginning of the time it tells of, both in the tank's zone: --since,
// or so many days before.
func (a *App) WindowOf(tank logbook.Tank, sinceFlag string, days int) (asOf, since time.Time, err error) {
	zone := tank.Zone()
	if asOf, err = a.AsOf(tank); err != nil {
		return asOf, since, err
	}
	asOf = asOf.In(zone)
	if since, err = a.Since(sinceFlag, zone); err != nil {
		return asOf, since, err
	}
	if since.IsZero() {
		since = asOf.AddDate(0, 0, -days)
	}
	since = since.In(zone)
	if !since.Before(asOf) {
		return asOf, since, usage.Errorf("--since takes an earlier time", "--since %s is not before %s", words.Moment(since),
			words.Moment(asOf))
	}
	return asOf, since, nil
}

// AsOf is the moment an answer about a tank is for: --as-of, else now, to the second. A date alone means the end of
// that day in the tank's zone.
func (a *App) AsOf(t logbook.Tank) (time.Time, error) {
	return a.ReadMoment(entry.AsOf, "--as-of", a.AsOfFlag, t.Zone())
}

// Until is the moment of --as-of; the zero time where it is not given.
func (a *App) Until(t logbook.Tank) (time.Time, error) {
	if a.AsOfFlag == "" {
		return time.Time{}, nil
	}
	return a.AsOf(t)
}

// Since reads a --since: a date alone means its beginning; "" is the zero time.
func (a *App) Since(text string, zone *time.Location) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	return a.ReadMoment(entry.Since, "--since", text, zone)
}

// At is the moment of something that is noted down: --at, else --as-of, else now. What is not said to begin later has
// happened.
func (a *App) At(text string, t logbook.Tank, later bool) (time.Time, error) {
	read, now := entry.When, a.Now().In(t.Zone())
	if later {
		read = entry.Begin
	}
	if text != "" {
		when, err := a.ReadMoment(read, "--at", text, t.Zone())
		if err == nil && later {
			a.Warn(entry.Later(when, now))
		}
		return when, err
	}
	when, err := a.AsOf(t)
	if err == nil && !later {
		err = usage.Mistyped(entry.RefuseLater(when, now))
	}
	return when, err
}

// ReadMoment reads the time of a flag by one of the ways of package entry, in a zone.
func (a *App) ReadMoment(read func(text string, now time.Time) (time.Time, error), flag, text string,
	zone *time.Location) (time.Time, error) {
	when, err := read(text, a.Now().In(zone))
	if err != nil {
		return when, usage.Mistyped(fmt.Errorf("%s: %w", flag, err))
	}
	return when, nil
}

func ParseZone(flag, name string) (*time.Location, error) {
	zone, err := time.LoadLocation(name)
	if err != nil || name == "Local" {
		return nil, usage.Errorf("names are such as Pacific/Auckland or Europe/Lisbon", "%s: %q is not a known zone", flag,
			name)
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
		doubts = append(doubts, fmt.Sprintf("the clock stands at %s, before this program was made (%s)", words.Moment(now),
			words.Day(made)))
	}
	newest, err := v.NewestAfter(now)
	if !newest.IsZero() {
		doubts = append(doubts, fmt.Sprintf("the clock stands at %s, before the newest entry (%s): is it right? what lies "+
			"after it does not count yet",
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
	a.SayEach("warning: %s", doubts)
	return err
}
