package part

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"leadline/alerts/entry"
	"leadline/logbook"
)

// WhenText says how a time field is read.
func WhenText(text string, now time.Time) (string, error) {
	at, _, err := ParseWhen(text, now)
	if err != nil || strings.TrimSpace(text) == "" {
		return "empty is now; or 08:30; or a date and time, such as " + now.Format("2006-01-02 15:04"), err
	}
	return at.Format("Mon 2 Jan 2006 15:04"), nil
}

// ParseWhen reads a moment as entry.When does, with a refusal that shows how one is written.
func ParseWhen(text string, now time.Time) (at time.Time, doubt string, err error) {
	at, doubt, err = entry.When(text, now)
	var r logbook.Refusal
	if errors.As(err, &r) {
		err = fmt.Errorf("%s; write %s, or %s", Clean(r.Reason), now.Format("2006-01-02 15:04"), now.Format("2 Jan 2006 15:04"))
	}
	return at, doubt, err
}
