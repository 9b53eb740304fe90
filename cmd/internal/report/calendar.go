package report

import (
	"bufio"
	"fmt"
	"hash/fnv"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"leadline/alerts"
	"leadline/alerts/words"
)

// Calendar writes what is due in the tanks as an iCalendar file: the next tests, a day's together, the next time of every
// chore, and when a stock may be used up or expires. What is late stands on the day of the report. Entries last all day and
// keep their UID, so that reading a newer file moves them.
//
// Reference: RFC 5545 (3.1 content lines and folding, 3.3.11 text, 3.6.1 events).
func Calendar(w io.Writer, reports []alerts.Report) error {
	out := bufio.NewWriter(w)
	c := calendar{out}
	c.line("BEGIN:VCALENDAR")
	c.line("VERSION:2.0")
	c.line("PRODID:-//leadline//due//EN")
	for _, r := range reports {
		for _, e := range duesOf(r) {
			c.event(e, r)
		}
	}
	c.line("END:VCALENDAR")
	return out.Flush()
}

// due is one entry of the calendar.
type due struct {
	day           time.Time
	kind, subject string // with the tank's name they make the UID
	summary, more string
}

func duesOf(r alerts.Report) []due {
	all := testsOf(r)
	for _, c := range r.Chores {
		if !c.Due.IsZero() {
			all = append(all, due{onOrAfter(c.Due, r.AsOf), "chore", c.Name, c.Name, "last done " + words.Day(c.Last.In(r.AsOf.Location()))})
		}
	}
	for _, s := range r.Stocks {
		if days := s.Out.P10; days < stockDays {
			at := r.AsOf.Add(time.Duration(days * float64(24*time.Hour)))
			all = append(all, due{onOrAfter(at, r.AsOf), "stock", s.Name, s.Name + ": may be used up from now on", "the early end of an 80 % interval"})
		}
		if !s.Expires.IsZero() {
			all = append(all, due{onOrAfter(s.Expires.In(r.AsOf.Location()), r.AsOf), "expiry", s.Name, s.Name + ": expires", ""})
		}
	}
	return all
}

// stockDays is how many days ahead the end of a stock is still worth an entry.
const stockDays = 366

// testsOf is one entry for every day on which tests are due.
func testsOf(r alerts.Report) []due {
	names := map[time.Time][]string{}
	var days []time.Time
	for _, l := range r.Findings {
		if l.Due.IsZero() {
			continue
		}
		day := onOrAfter(l.Due.In(r.AsOf.Location()), r.AsOf)
		if names[day] == nil {
			days = append(days, day)
		}
		names[day] = append(names[day], l.Parameter.Name)
	}
	slices.SortFunc(days, time.Time.Compare)
	var all []due
	for _, day := range days {
		all = append(all, due{day, "test", day.Format("20060102"), "test " + strings.Join(names[day], ", "), ""})
	}
	return all
}

// onOrAfter is the day of a moment, or today where that is past.
func onOrAfter(t, today time.Time) time.Time {
	if t.Before(today) {
		t = today
	}
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, today.Location())
}

type calendar struct{ out *bufio.Writer }

func (c calendar) event(e due, r alerts.Report) {
	id := fnv.New64a()
	fmt.Fprintf(id, "%q %q %q", r.Tank.Name, e.kind, e.subject)
	c.line("BEGIN:VEVENT")
	c.line(fmt.Sprintf("UID:%s-%016x@leadline", e.kind, id.Sum64()))
	c.line("DTSTAMP:" + r.AsOf.UTC().Format("20060102T150405Z"))
	c.line("DTSTART;VALUE=DATE:" + e.day.Format("20060102"))
	c.line("SUMMARY:" + calendarText(r.Tank.Name+": "+e.summary))
	if e.more != "" {
		c.line("DESCRIPTION:" + calendarText(e.more))
	}
	c.line("TRANSP:TRANSPARENT")
	c.line("END:VEVENT")
}

// line writes a content line, folded so that none has more than 75 octets, between characters.
func (c calendar) line(s string) {
	const most = 75
	for room := most; len(s) > room; room = most - 1 {
		cut := room
		for !utf8.RuneStart(s[cut]) {
			cut--
		}
		c.out.WriteString(s[:cut] + "\r\n ")
		s = s[cut:]
	}
	c.out.WriteString(s + "\r\n")
}

// calendarText is text of others as a value.
func calendarText(s string) string {
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`).Replace(words.OneLine(s))
}
