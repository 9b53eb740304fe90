package app

import (
	"fmt"
	"time"

	"leadline/alerts/words"
	"leadline/cmd/internal/shape"
	"leadline/logbook"
)

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
		a.Say("warning: %s", d)
	}
	return err
}
