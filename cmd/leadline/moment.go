package main

import (
	"fmt"
	"strings"
	"time"

	"leadline/alerts/entry"
	"leadline/logbook"
)

// asOf is the moment an answer about a tank is for: --as-of, else now, to the second. A date alone means the end of
// that day in the tank's zone.
func (a *app) asOf(t logbook.Tank) (time.Time, error) {
	zone := t.Zone()
	if a.asOfFlag == "" {
		return a.now().In(zone).Truncate(time.Second), nil
	}
	if day, ok := dateAlone(a.asOfFlag, zone); ok {
		return day.AddDate(0, 0, 1).Add(-time.Second), nil
	}
	return parseMoment("--as-of", a.asOfFlag, zone)
}

// sinceTime reads a --since: a date alone means its beginning; "" is the zero time.
func sinceTime(text string, zone *time.Location) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	if day, ok := dateAlone(text, zone); ok {
		return day, nil
	}
	return parseMoment("--since", text, zone)
}

// at is the moment of something that is noted down: --at, else --as-of, else now. A date alone means noon, but today's
// before noon means now: what is noted down has happened.
func (a *app) at(text string, t logbook.Tank) (time.Time, error) {
	if text == "" {
		return a.asOf(t)
	}
	when, doubt, err := entry.When(text, a.now().In(t.Zone()))
	if err != nil {
		return when, unreadMoment("--at", err)
	}
	if doubt != "" {
		a.say("warning: %s", doubt)
	}
	return when, nil
}

func parseMoment(flag, text string, zone *time.Location) (time.Time, error) {
	when, err := logbook.ParseTime(text, zone, logbook.AnyOrder)
	if err != nil {
		return when, unreadMoment(flag, err)
	}
	return when, nil
}

func unreadMoment(flag string, err error) error {
	return wrongUsage(fmt.Errorf("%s: %w", flag, err), "write 2026-03-07, 2026-03-07T09:10 or 2026-03-07T09:10:00+13:00")
}

// dateAlone reads a date without a time of day as its first moment.
func dateAlone(text string, zone *time.Location) (time.Time, bool) {
	day, err := time.ParseInLocation(time.DateOnly, strings.TrimSpace(text), zone)
	return day, err == nil
}

// parseDays reads a length of time in days: "56d", "8w", "56", "3.5 days".
func parseDays(flag, text string) (float64, error) {
	n, err := entry.Days(text)
	if err != nil {
		_, hint := inWords(err)
		return 0, wrongUsage(fmt.Errorf("%s: %w", flag, err), hint)
	}
	return n, nil
}
