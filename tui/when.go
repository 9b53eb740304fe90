package tui

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"leadline/logbook"
)

// whenField is the time of an entry: empty is now.
func whenField() *formField {
	return &formField{label: "when", hint: "now", check: func(f *form, text string) (string, error) {
		return whenText(text, f.env.moment().In(f.zone()))
	}}
}

// whenText says how a time field is read.
func whenText(text string, now time.Time) (string, error) {
	at, err := parseWhen(text, now)
	if err != nil || strings.TrimSpace(text) == "" {
		return "empty is now; or 08:30; or a date and time, such as " + now.Format("2006-01-02 15:04"), err
	}
	return at.Format("Mon 2 Jan 2006 15:04"), nil
}

// when reads the time field.
func (f *form) when(text string) (time.Time, error) {
	return parseWhen(text, f.env.moment().In(f.zone()))
}

// parseWhen reads a moment as people type it on the day: nothing for now, a time of today, or a date.
func parseWhen(text string, now time.Time) (time.Time, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return now.Truncate(time.Second), nil
	}
	if at, err := time.ParseInLocation("15:04", text, now.Location()); err == nil {
		y, m, d := now.Date()
		return checkPast(time.Date(y, m, d, at.Hour(), at.Minute(), 0, 0, now.Location()), now)
	}
	at, err := logbook.ParseTime(text, now.Location(), logbook.AnyOrder)
	if err != nil {
		var r logbook.Refusal
		if errors.As(err, &r) {
			return time.Time{}, fmt.Errorf("%s; write %s, or %s", clean(r.Reason), now.Format("2006-01-02 15:04"), now.Format("2 Jan 2006 15:04"))
		}
		return time.Time{}, err
	}
	return checkPast(at, now)
}

func checkPast(at, now time.Time) (time.Time, error) {
	if at.After(now.Add(24 * time.Hour)) {
		return time.Time{}, fmt.Errorf("%s lies ahead of now", at.Format("2 Jan 2006 15:04"))
	}
	return at, nil
}
