package report

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"leadline/alerts"
	"leadline/logbook"
)

func calendarOf(t *testing.T, book *logbook.Book, asOf time.Time) []map[string]string {
	t.Helper()
	var b bytes.Buffer
	err := book.View(func(v *logbook.View) error {
		tanks, err := v.Tanks()
		if err != nil {
			return err
		}
		var reports []alerts.Report
		for _, tank := range tanks {
			r, err := alerts.Examine(v, tank.Name, asOf)
			if err != nil {
				return err
			}
			reports = append(reports, r)
		}
		return Calendar(&b, reports)
	})
	if err != nil {
		t.Fatal(err)
	}
	events, err := readCalendar(b.String())
	if err != nil {
		t.Fatalf("%v in:\n%s", err, b.String())
	}
	return events
}

// readCalendar is a strict reader of what RFC 5545 asks of such a file (3.1, 3.3.4, 3.3.5, 3.3.11, 3.6.1, 3.6.6,
// 3.8.4.7,
// 3.8.7.2) and RFC 7986 (5.1). What an alarm says is put before the names of its fields.
func readCalendar(s string) ([]map[string]string, error) {
	if !utf8.ValidString(s) || !strings.HasSuffix(s, "\r\n") || strings.Contains(strings.ReplaceAll(s, "\r\n", ""), "\n") {
		return nil, fmt.Errorf("lines do not end in CR LF, or the text is not UTF-8")
	}
	for _, line := range strings.Split(s, "\r\n") {
		if len(line) > 75 || !utf8.ValidString(line) {
			return nil, fmt.Errorf("line %q is too long, or cut inside a character", line)
		}
	}
	lines := strings.Split(strings.TrimSuffix(strings.ReplaceAll(s, "\r\n ", ""), "\r\n"), "\r\n")
	if n := len(lines); n < 4 || lines[0] != "BEGIN:VCALENDAR" || lines[1] != "VERSION:2.0" ||
		!strings.HasPrefix(lines[2], "PRODID:") || lines[n-1] != "END:VCALENDAR" {
		return nil, fmt.Errorf("no calendar")
	}
	var events []map[string]string
	var e map[string]string
	name, found := strings.CutPrefix(lines[3], "NAME:leadline")
	if !found || lines[4] != "X-WR-CALNAME:leadline"+name {
		return nil, fmt.Errorf("it bears no name")
	}
	inside := ""
	for _, line := range lines[5 : len(lines)-1] {
		name, value, ok := strings.Cut(inside+line, ":")
		switch {
		case !ok:
			return nil, fmt.Errorf("line %q", line)
		case line == "BEGIN:VEVENT" && e == nil:
			e = map[string]string{}
		case line == "END:VEVENT" && e != nil:
			for _, must := range []string{"UID", "DTSTAMP", "DTSTART;VALUE=DATE", "SUMMARY"} {
				if e[must] == "" {
					return nil, fmt.Errorf("an event without %s", must)
				}
			}
			if _, err := time.Parse("20060102T150405Z", e["DTSTAMP"]); err != nil {
				return nil, err
			}
			if _, err := time.Parse("20060102", e["DTSTART;VALUE=DATE"]); err != nil {
				return nil, err
			}
			if e["VALARM ACTION"] != "DISPLAY" || e["VALARM TRIGGER"] == "" || e["VALARM DESCRIPTION"] != e["SUMMARY"] {
				return nil, fmt.Errorf("no alarm in %v", e)
			}
			events, e = append(events, e), nil
		case line == "BEGIN:VALARM" && e != nil && inside == "":
			inside = "VALARM "
		case line == "END:VALARM" && inside != "":
			inside = ""
		case e == nil || e[name] != "":
			return nil, fmt.Errorf("line %q is out of place", line)
		default:
			text, err := calendarValue(name, value)
			if err != nil {
				return nil, err
			}
			e[name] = text
		}
	}
	if e != nil {
		return nil, fmt.Errorf("an event is left open")
	}
	return events, nil
}

// calendarValue undoes the escapes of a text.
func calendarValue(name, value string) (string, error) {
	if name = strings.TrimPrefix(name, "VALARM "); name != "SUMMARY" && name != "DESCRIPTION" {
		return value, nil
	}
	var b strings.Builder
	for i := 0; i < len(value); i++ {
		switch value[i] {
		case ',', ';':
			return "", fmt.Errorf("%q is not escaped", value)
		case '\\':
			i++
			if i == len(value) || !strings.Contains(`\;,nN`, value[i:i+1]) {
				return "", fmt.Errorf("a wrong escape in %q", value)
			}
		}
		b.WriteByte(value[i])
	}
	return b.String(), nil
}

func TestCalendarOfDemo(t *testing.T) {
	events := calendarOf(t, demoBook(t), demoEvening(t))
	days, ids := map[string]string{}, map[string]bool{}
	for _, e := range events {
		days[e["SUMMARY"]] = e["DTSTART;VALUE=DATE"]
		if ids[e["UID"]] {
			t.Errorf("UID %s twice", e["UID"])
		}
		ids[e["UID"]] = true
	}
	// By the demo's story: all was tested on 7 March, and every seven days; the media were changed on 21 February, every
	// 42 days; magnesium of forereef and calcium of lagoon were left out that week, and are seen to come every 14.
	for summary, day := range map[string]string{
		"forereef: phosphate media": "20260404",
		"lagoon: filter floss":      "20260314",
	} {
		if days[summary] != day {
			t.Errorf("%s: %q, want %s (all: %v)", summary, days[summary], day, days)
		}
	}
	tests := 0
	for summary, day := range days {
		if strings.HasPrefix(summary, "forereef: test ") && day == "20260314" &&
			strings.Contains(summary, "alkalinity, calcium") {
			tests++
		}
	}
	if tests != 1 {
		t.Errorf("the tests of 14 March are not one entry: %v", days)
	}
	again := calendarOf(t, demoBook(t), demoEvening(t).AddDate(0, 2, 0))
	for _, e := range again {
		if day := e["DTSTART;VALUE=DATE"]; day < "20260507" {
			t.Errorf("%s stands on %s, in the past", e["SUMMARY"], day)
		}
		if strings.HasPrefix(e["UID"], "chore-") && !ids[e["UID"]] {
			t.Errorf("%s has another UID now", e["SUMMARY"])
		}
	}
}

func TestCalendarOfHostileNames(t *testing.T) {
	name := `a,b;c\n` + strings.Repeat("潮", 60)
	asOf := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	book := bookOf(t, []byte(fmt.Sprintf(`{"kind":"tank","tank":%q}`+"\n"+
		`{"kind":"chore","tank":%q,"chore":"x\r\nEND:VEVENT","every_days":3}`+"\n"+
		`{"kind":"chore_done","time":"2026-03-06T09:00:00Z","tank":%q,"chore":"x\r\nEND:VEVENT"}`+"\n", name, name, name)))
	events := calendarOf(t, book, asOf)
	if len(events) != 1 || events[0]["SUMMARY"] != name+": x END:VEVENT" {
		t.Errorf("got %v", events)
	}
}
