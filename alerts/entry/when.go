package entry

import (
	"fmt"
	"strings"
	"time"

	"leadline/logbook"
)

// When reads a moment as people type it on the day, in the zone of now: nothing for now, a time of today, or a date.
// A date alone means noon, but today's before noon means now: what is noted down has happened. doubt says of one that
// is still to come that it may be a slip.
func When(text string, now time.Time) (at time.Time, doubt string, err error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return now.Truncate(time.Second), "", nil
	}
	if clock, err := time.ParseInLocation("15:04", text, now.Location()); err == nil {
		y, m, d := now.Date()
		at = time.Date(y, m, d, clock.Hour(), clock.Minute(), 0, 0, now.Location())
	} else if at, err = logbook.ParseTime(text, now.Location(), logbook.AnyOrder); err != nil {
		return at, "", err
	}
	if day, err := time.ParseInLocation(time.DateOnly, text, now.Location()); err == nil && at.After(now) && !day.After(now) {
		return now.Truncate(time.Second), "", nil
	}
	if at.After(now.Add(24 * time.Hour)) {
		doubt = fmt.Sprintf("%s lies in the future; it counts from then on", logbook.FormatTime(at))
	}
	return at, doubt, nil
}

// mostDays is the longest time that is read, a hundred years.
const mostDays = 36525

// Days reads a length of time in days: "56d", "8w", "56", "3.5 days".
func Days(text string) (float64, error) {
	value, unit := Split(text)
	n, err := Number(value)
	switch unit {
	case "w", "week", "weeks":
		n *= 7
	case "", "d", "day", "days":
	default:
		n = 0
	}
	if err != nil || !(n > 0 && n <= mostDays) {
		return 0, logbook.Refusal{Reason: fmt.Sprintf("%q is not a length of time", text), Hint: "write 56d or 8w"}
	}
	return n, nil
}
