package tui

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"leadline/alerts/entry"
	"leadline/logbook"
)

const whenLabel = "when"

// whenField is the time of an entry: empty is now.
func whenField() *formField {
	return &formField{label: whenLabel, hint: "now", check: func(f *form, text string) (string, error) {
		return whenText(text, f.env.moment().In(f.zone()))
	}}
}

// whenText says how a time field is read.
func whenText(text string, now time.Time) (string, error) {
	at, _, err := parseWhen(text, now)
	if err != nil || strings.TrimSpace(text) == "" {
		return "empty is now; or 08:30; or a date and time, such as " + now.Format("2006-01-02 15:04"), err
	}
	return at.Format("Mon 2 Jan 2006 15:04"), nil
}

// when reads the time field.
func (f *form) when(text string) (time.Time, error) {
	at, _, err := parseWhen(text, f.env.moment().In(f.zone()))
	return at, err
}

// ahead is the doubt about a time field that lies in the future.
func (f *form) ahead() (doubts []string) {
	for _, x := range f.fields {
		if x.label == whenLabel {
			if _, doubt, _ := parseWhen(x.input.Value(), f.env.moment().In(f.zone())); doubt != "" {
				doubts = append(doubts, doubt)
			}
		}
	}
	return doubts
}

// parseWhen reads a moment as entry.When does, with a refusal that shows how one is written.
func parseWhen(text string, now time.Time) (at time.Time, doubt string, err error) {
	at, doubt, err = entry.When(text, now)
	var r logbook.Refusal
	if errors.As(err, &r) {
		err = fmt.Errorf("%s; write %s, or %s", clean(r.Reason), now.Format("2006-01-02 15:04"), now.Format("2 Jan 2006 15:04"))
	}
	return at, doubt, err
}
