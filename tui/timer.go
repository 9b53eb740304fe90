package tui

import (
	"fmt"
	"time"
)

// timer is when the bell rings; zero: it does not.
type timer struct{ time.Time }

// wind starts the timer, or makes it one step longer; after the longest it stops. It says which.
func (t *timer) wind(now time.Time) string {
	left := t.Sub(now)
	for _, m := range []time.Duration{1, 3, 5, 10} {
		if left < m*time.Minute-5*time.Second {
			t.Time = now.Add(m * time.Minute)
			return fmt.Sprintf("the bell rings in %d min; ctrl+r makes it longer, behind 10 min it stops", m)
		}
	}
	*t = timer{}
	return "the timer is stopped"
}

// over reports, once, that the timer has run down.
func (t *timer) over(now time.Time) bool {
	if t.IsZero() || now.Before(t.Time) {
		return false
	}
	*t = timer{}
	return true
}

func (t timer) text(now time.Time) string {
	if t.IsZero() {
		return ""
	}
	left := t.Sub(now).Round(time.Second)
	return fmt.Sprintf("timer %d:%02d", int(left.Minutes()), int(left.Seconds())%60)
}
