package logbook

import (
	"strconv"
	"strings"
	"time"
)

// DateOrder says how dates such as 07/03/2026 are to be read.
type DateOrder int8

const (
	AnyOrder   DateOrder = iota // not said: a date that can be read two ways is refused
	DayFirst                    // 07/03/2026 is 7 March
	MonthFirst                  // 07/03/2026 is 3 July
)

// ParseDateOrder reads "dmy" or "mdy"; "" is AnyOrder.
func ParseDateOrder(text string) (DateOrder, error) {
	switch strings.ToLower(trim(text)) {
	case "":
		return AnyOrder, nil
	case "dmy":
		return DayFirst, nil
	case "mdy":
		return MonthFirst, nil
	}
	return AnyOrder, refuse(text, "write dmy for 31/12/2026 or mdy for 12/31/2026", "%s is not an order of dates",
		quote(text))
}

// The years that are read, and kept. Earlier and later ones are slips of the pen, or of a clock.
const (
	firstYear = 1970
	lastYear  = 2199
)

// FormatTime writes a time in RFC 3339 with its offset, to the nanosecond where it has them. Z stands for UTC alone; an
// offset that happens to be nought is +00:00.
func FormatTime(t time.Time) string { return string(appendTime(nil, t)) }

func appendTime(b []byte, t time.Time) []byte {
	b = t.AppendFormat(b, time.RFC3339Nano) // a quick way of the standard library, which says Z for any nought
	if last := len(b) - 1; b[last] == 'Z' && t.Location() != time.UTC {
		b = append(b[:last], "+00:00"...)
	}
	return b
}

// ParseTime reads a moment: RFC 3339, whose offset is kept, or a date with or without a time of day in the given zone
// (nil: UTC). A date alone means noon, which is the same day in most of the world. Understood are 2026-03-07,
// 7 Mar 2026, March 7, 2026 and, where it can be read one way only or the order is given, 07/03/2026; times of day
// 9:10, 09:10:30 and 9:10 pm, with or without an offset. What can be read two ways is refused, a time of day that a
// change of the clocks skipped or repeated included. The error is a Refusal.
func ParseTime(text string, zone *time.Location, order DateOrder) (time.Time, error) {
	t, _, err := parseTime(text, zone, order)
	return t, err
}

// parseTime is ParseTime, and says what the time was read from.
func parseTime(text string, zone *time.Location, order DateOrder) (time.Time, TimeFrom, error) {
	s := trim(text)
	if t, ok := parseRFC3339(s); ok {
		t, err := inYears(text, t)
		return t, TimeWhole, err
	}
	if zone == nil {
		zone = time.UTC
	}
	d, rest, err := parseDate(s, order)
	if err != nil {
		return time.Time{}, TimeWhole, err
	}
	clock, told, err := parseClock(rest)
	if err != nil {
		r := asRefusal(err)
		r.Value = text
		return time.Time{}, TimeWhole, r
	}
	shown, from := d.Add(clock), TimeWhole // as a clock shows it
	if told != nil {
		_, offset := shown.In(told).Zone()
		d = shown.Add(-time.Duration(offset) * time.Second).In(told)
	} else {
		if from = TimeLocal; trim(rest) == "" {
			from = TimeNoon
		}
		if d, err = momentShown(text, shown, zone); err != nil {
			return time.Time{}, from, err
		}
		d = fixed(d)
	}
	d, err = inYears(text, d)
	return d, from, err
}

func inYears(text string, t time.Time) (time.Time, error) {
	if !yearKept(t) {
		return time.Time{}, refuse(text, "", "%s is not between the years %d and %d", quote(text), firstYear, lastYear)
	}
	return t, nil
}

func yearKept(t time.Time) bool {
	y := t.UTC().Year()
	return y >= firstYear && y <= lastYear
}

// fixed gives a time in a named zone the offset it has there, as times are kept in the book.
func fixed(t time.Time) time.Time {
	if t.Location() == time.UTC {
		return t
	}
	_, offset := t.Zone()
	if offset%60 != 0 { // RFC 3339 has no seconds in its offsets
		return t.UTC()
	}
	return t.In(time.FixedZone("", offset))
}

func momentShown(text string, shown time.Time, zone *time.Location) (time.Time, error) {
	_, before := shown.Add(-24 * time.Hour).In(zone).Zone()
	_, after := shown.Add(24 * time.Hour).In(zone).Zone()
	var found []time.Time
	for _, offset := range []int{before, after} {
		t := shown.Add(-time.Duration(offset) * time.Second).In(zone)
		if _, o := t.Zone(); o == offset && (len(found) == 0 || !found[0].Equal(t)) {
			found = append(found, t)
		}
	}
	switch len(found) {
	case 0:
		return time.Time{}, refuse(text, "", "%s does not exist in %s: the clocks were put forward over it", quote(text),
			zone)
	case 2:
		return time.Time{}, refuse(text, "write the offset behind it: "+FormatTime(fixed(found[0]))+" or "+
			FormatTime(fixed(found[1])), "%s was shown twice by the clocks in %s", quote(text), zone)
	}
	return found[0], nil
}

// parseRFC3339 reads the form in which nearly every time comes. What it does not take may still be a time.
func parseRFC3339[S ~string | ~[]byte](s S) (t time.Time, ok bool) {
	const least = len("2006-01-02T15:04:05Z")
	const most = len("2006-01-02T15:04:05.999999999-07:00") // a time keeps no more of a second
	if len(s) < least || len(s) > most || t.UnmarshalText([]byte(s)) != nil {
		return t, false
	}
	// What the library takes besides: an hour of one digit, a comma, sixty minutes of an offset.
	if end := len(s) - 1; s[13] != ':' || s[19] == ',' || s[end] != 'Z' && s[end-1] > '5' {
		return t, false
	}
	return fixed(t), offsetKept(t)
}

// offsetKept reports whether any zone was ever as far ahead of or behind UTC as a time is.
func offsetKept(t time.Time) bool {
	const least = 16 * 3600 // that none was
	_, offset := t.Zone()
	return -least < offset && offset < least
}

func daysIn(year int, month time.Month) int {
	return time.Date(year, month+1, 0, 0, 0, 0, 0, time.UTC).Day()
}

// datePart is one number or name of a date as typed, and what stands behind it.
type datePart struct {
	text string
	gap  string
}

const dateHint = "write 2026-03-07, 2026-03-07T09:10 or 2026-03-07T09:10:00+13:00"

// parseDate reads the date that s begins with, as its midnight in UTC, and gives back what follows it.
func parseDate(s string, order DateOrder) (d time.Time, rest string, err error) {
	parts, rest := dateParts(s)
	if len(parts) < 3 {
		return d, "", refuse(s, dateHint, "%s is not a date", quote(s))
	}
	a, b, c := parts[0].text, parts[1].text, parts[2].text
	switch {
	case len(a) == 4 && isDigits(a) && isDigits(b) && isDigits(c):
		d, err = newDate(s, a, b, c)
	case isDigits(a) && monthNamed(b) != 0 && isDigits(c): // 7 Mar 2026
		d, err = newDate(s, c, b, a)
	case monthNamed(a) != 0 && isDigits(b) && isDigits(c): // Mar 7, 2026
		d, err = newDate(s, c, a, b)
	case isDigits(a) && isDigits(b) && isDigits(c):
		d, err = orderedDate(s, a, b, c, order)
	default:
		err = refuse(s, dateHint, "%s is not a date", quote(s))
	}
	return d, rest, err
}

// dateParts cuts the first three numbers or words off s, and the marks between them.
func dateParts(s string) (parts []datePart, rest string) {
	rest = s
	for len(parts) < 3 && rest != "" {
		n := digits(rest)
		if n == 0 {
			n = len(rest) - len(strings.TrimLeftFunc(rest, func(r rune) bool { return r|0x20 >= 'a' && r|0x20 <= 'z' }))
		}
		gap := 0
		for n+gap < len(rest) && strings.IndexByte("/-., ", rest[n+gap]) >= 0 {
			gap++
		}
		if n == 0 || gap > 2 {
			return nil, s
		}
		if len(parts) == 2 {
			gap = 0 // what follows the date is looked at by parseClock
		}
		parts = append(parts, datePart{rest[:n], rest[n : n+gap]})
		rest = rest[n+gap:]
	}
	if len(parts) == 3 && !sameGaps(parts[0], parts[1]) {
		return nil, s
	}
	return parts, rest
}

// sameGaps keeps 2026-03/07 from being a date; between words all marks will do.
func sameGaps(a, b datePart) bool {
	if monthNamed(a.text) != 0 || monthNamed(b.text) != 0 {
		return a.gap != "" || b.gap != ""
	}
	return a.gap == b.gap && (a.gap == "-" || a.gap == "/" || a.gap == "." || a.gap == ". ")
}

func isDigits(s string) bool { return s != "" && digits(s) == len(s) }

// monthNamed is the month of an English name or its first three letters; 0 if it is neither.
func monthNamed(s string) time.Month {
	if strings.EqualFold(s, "sept") {
		return time.September
	}
	for m := time.January; m <= time.December; m++ {
		if name := m.String(); strings.EqualFold(s, name) || strings.EqualFold(s, name[:3]) {
			return m
		}
	}
	return 0
}

// orderedDate reads two small numbers and a year, where either number may be the day.
func orderedDate(s, a, b, year string, order DateOrder) (time.Time, error) {
	dayFirst, errDay := newDate(s, year, b, a)
	monthFirst, errMonth := newDate(s, year, a, b)
	first, _ := strconv.Atoi(a)
	switch {
	case order == MonthFirst:
		return monthFirst, errMonth
	case order == DayFirst || first > 12: // a number above 12 can only be the day
		return dayFirst, errDay
	case errDay != nil:
		return monthFirst, errMonth
	case errMonth != nil || dayFirst.Equal(monthFirst):
		return dayFirst, nil
	}
	return dayFirst, refuse(s, "say which with --date-order dmy or --date-order mdy", "%s can be %s or %s", quote(s),
		dayFirst.Format("2 January"), monthFirst.Format("2 January"))
}

// newDate refuses days that no calendar has.
func newDate(s, year, month, day string) (d time.Time, err error) {
	if len(year) != 4 {
		return d, refuse(s, "write the year with four digits", "%s has no year of four digits", quote(s))
	}
	if len(day) > 2 || (isDigits(month) && len(month) > 2) {
		return d, refuse(s, dateHint, "%s is not a date", quote(s))
	}
	y, _ := strconv.Atoi(year)
	dd, _ := strconv.Atoi(day)
	m := monthNamed(month)
	if m == 0 {
		number, _ := strconv.Atoi(month)
		m = time.Month(number)
	}
	if m < 1 || m > 12 {
		return d, refuse(s, "", "%s does not exist: there is no month %d", quote(s), m)
	}
	if dd < 1 || dd > daysIn(y, m) {
		return d, refuse(s, "", "%s does not exist: %s %d has %d days", quote(s), m, y, daysIn(y, m))
	}
	return time.Date(y, m, dd, 0, 0, 0, 0, time.UTC), nil
}

// parseClock reads the time of day that follows a date, and the zone it is in; nil: not told. A date alone means noon.
func parseClock(s string) (sinceMidnight time.Duration, zone *time.Location, err error) {
	t := trim(s)
	if t == "" {
		return 12 * time.Hour, nil, nil
	}
	wrong := refuse(s, dateHint, "%s is not a time of day", quote(t))
	lower := strings.ToLower(t)
	if t == s && lower[0] != 't' && lower[0] != ',' { // glued to the date
		return 0, nil, wrong
	}
	if lower, zone, err = cutOffset(trim(strings.TrimLeft(lower, "t,"))); err != nil {
		return 0, nil, err
	}
	for _, layout := range []string{"15:04", "15:04:05", "3:04 pm", "3:04pm", "3:04:05 pm", "3:04:05pm", "3 pm", "3pm"} {
		// Fractions of a second are taken behind seconds, as time.Parse does everywhere.
		if c, err := time.Parse(layout, lower); err == nil {
			return c.Sub(time.Date(0, 1, 1, 0, 0, 0, 0, time.UTC)), zone, nil
		}
	}
	return 0, nil, wrong
}

// cutOffset takes "z", "utc", "+13:00", "+1300" or "+13" off the end of a time of day.
func cutOffset(s string) (rest string, zone *time.Location, err error) {
	for _, name := range []string{"z", "utc"} {
		if rest, ok := strings.CutSuffix(s, name); ok {
			return trim(rest), time.UTC, nil
		}
	}
	i := strings.LastIndexAny(s, "+-")
	if i < 0 {
		return s, nil, nil
	}
	offset := s[i:]
	switch len(offset) {
	case len("+13"):
		offset += ":00"
	case len("+1300"):
		offset = offset[:3] + ":" + offset[3:]
	}
	t, ok := parseRFC3339("1970-01-02T00:00:00" + offset)
	if !ok {
		return "", nil, refuse(s, dateHint, "%s is not an offset from UTC", quote(s[i:]))
	}
	return trim(s[:i]), t.Location(), nil
}
