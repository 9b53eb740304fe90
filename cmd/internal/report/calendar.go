package report

import (
	"bufio"
	"fmt"
	"hash/fnv"
	"io"
	"strings"
	"unicode/utf8"

	"leadline/alerts"
	"leadline/alerts/words"
)

// Calendar writes what is due in the tanks as an iCalendar file: the next tests, a day's together, the next time of
// every chore, and when a stock may be used up or expires. What is late stands on the day of the report. Entries last
// all day, remind at nine in the morning and keep their UID, so that reading a newer file moves them. Of one tank, the
// calendar bears its name.
//
// Reference: RFC 5545 (3.1 content lines and folding, 3.3.11 text, 3.6.1 events, 3.6.6 alarms); RFC 7986, 5.1, for the
// name, which older programs read from X-WR-CALNAME.
func Calendar(w io.Writer, reports []alerts.Report) error {
	out := bufio.NewWriter(w)
	c := calendar{out}
	name := "leadline"
	if len(reports) == 1 {
		name += ": " + reports[0].Tank.Name
	}
	c.lines("BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//leadline//due//EN", "NAME:"+calendarText(name),
		"X-WR-CALNAME:"+calendarText(name))
	for _, r := range reports {
		for _, e := range r.Dues() {
			c.event(e, r)
		}
	}
	c.lines("END:VCALENDAR")
	return out.Flush()
}

type calendar struct{ out *bufio.Writer }

func (c calendar) event(e alerts.Due, r alerts.Report) {
	id := fnv.New64a()
	fmt.Fprintf(id, "%q %q %q", r.Tank.Name, e.Kind, e.Subject)
	summary := calendarText(r.Tank.Name + ": " + e.Summary)
	c.lines("BEGIN:VEVENT", fmt.Sprintf("UID:%s-%016x@leadline", e.Kind, id.Sum64()),
		"DTSTAMP:"+r.AsOf.UTC().Format("20060102T150405Z"), "DTSTART;VALUE=DATE:"+e.Day.Format("20060102"),
		"SUMMARY:"+summary)
	if e.More != "" {
		c.lines("DESCRIPTION:" + calendarText(e.More))
	}
	c.lines("TRANSP:TRANSPARENT", "BEGIN:VALARM", "ACTION:DISPLAY", "DESCRIPTION:"+summary, "TRIGGER:PT9H", "END:VALARM",
		"END:VEVENT")
}

// lines writes content lines, folded so that none has more than 75 octets, between characters.
func (c calendar) lines(lines ...string) {
	const most = 75
	for _, s := range lines {
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
}

// calendarText is text of others as a value.
func calendarText(s string) string {
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`).Replace(words.OneLine(s))
}
