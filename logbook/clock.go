package logbook

import "time"

// The moments of changes come from a hybrid logical clock (Kulkarni, Demirbas, Madappa, Avva and Leone: Logical
// physical clocks, OPODIS 2014): the own clock in whole microseconds, with the count of what came in between in the
// three digits below, so that what was noted in knowledge of something else has a later moment, whatever the two clocks
// showed.

// mostAhead is how far ahead of the own clock a moment that was taken in may lie and still drag it along. One further
// ahead comes from a wrong clock: what overrules it takes a moment just after it, and nothing else does, so that a
// wrong clock wins only until somebody sees what it did.
const mostAhead = 24 * time.Hour

// oldest is the moment of what was noted before moments were kept: all that is noted later wins.
func oldest() time.Time { return firstTime() }

// isAhead reports whether a moment lies too far ahead of the clock. Where no clock is known, now is the zero time.
func isAhead(moment, now time.Time) bool { return !now.IsZero() && moment.After(now.Add(mostAhead)) }

// momentAfter is the moment of what is noted now, after what it overrules and what else does not lie too far ahead.
func momentAfter(now, seen time.Time) time.Time {
	at := laterOf(oldest(), now.UTC().Truncate(time.Microsecond))
	if !at.After(seen) {
		at = seen.Add(time.Nanosecond)
	}
	return at
}

// NotedBy says what the clock shows, and who notes, when a definition is changed by way of the book. It is for whoever
// opens the book to say.
func (b *Book) NotedBy(now func() time.Time, who func() string) { b.now, b.who = now, who }

func (w *writer) clock() (now time.Time) {
	if w.book.now != nil {
		now = w.book.now()
	}
	return now
}

func (w *writer) by() (who string) {
	if w.book.who != nil {
		who = w.book.who()
	}
	return who
}
