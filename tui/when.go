package tui

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"leadline/alerts/entry"
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

// parseWhen reads a moment as entry.When does. One that is still to come is refused.
func parseWhen(text string, now time.Time) (time.Time, error) {
	at, doubt, err := entry.When(text, now)
	var r logbook.Refusal
	switch {
	case errors.As(err, &r):
		return at, fmt.Errorf("%s; write %s, or %s", clean(r.Reason), now.Format("2006-01-02 15:04"), now.Format("2 Jan 2006 15:04"))
	case doubt != "":
		return at, errors.New(doubt)
	}
	return at, err
}
