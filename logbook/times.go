package logbook

import (
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
	if t.Location() == time.UTC {
		return t.AppendFormat(b, "2006-01-02T15:04:05.999999999Z")
	}
	return t.AppendFormat(b, "2006-01-02T15:04:05.999999999-07:00")
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

// parseRFC3339 reads the form in which nearly every time comes, in a third of what time.Parse takes. What it does not
// take may still be a time.
func parseRFC3339[S ~string | ~[]byte](s S) (time.Time, bool) {
	if len(s) < len("2006-01-02T15:04:05Z") || s[10] != 'T' || s[13] != ':' || s[16] != ':' {
		return time.Time{}, false
	}
	year, month, day, isDate := dateDigits(s[:10])
	hour, minute, second := pair(s[11], s[12]), pair(s[14], s[15]), pair(s[17], s[18])
	isClock := among(hour, 0, 23) && among(minute, 0, 59) && among(second, 0, 59)
	nanos, size := fraction(s[19:])
	if !isDate || !isClock || size < 0 {
		return time.Time{}, false
	}
	zone, ok := zoneDigits(s[19+size:])
	if !ok {
		return time.Time{}, false
	}
	return time.Date(year, month, day, hour, minute, second, nanos, zone), true
}

// dateDigits reads a date such as 2006-01-02.
func dateDigits[S ~string | ~[]byte](s S) (year int, month time.Month, day int, ok bool) {
	year, month, day = pair(s[0], s[1])*100+pair(s[2], s[3]), time.Month(pair(s[5], s[6])), pair(s[8], s[9])
	ok = s[4] == '-' && s[7] == '-' && among(year, firstYear-1, lastYear+1) && among(int(month), 1, 12)
	return year, month, day, ok && day > 0 && (day <= 28 || day <= daysIn(year, month))
}

// zoneDigits reads Z, or an offset such as +07:00.
func zoneDigits[S ~string | ~[]byte](s S) (*time.Location, bool) {
	if len(s) == 1 && s[0] == 'Z' {
		return time.UTC, true
	}
	if len(s) != len("+07:00") || s[3] != ':' || s[0] != '+' && s[0] != '-' {
		return nil, false
	}
	hours, minutes := pair(s[1], s[2]), pair(s[4], s[5])
	offset := 3600*hours + 60*minutes
	if s[0] == '-' {
		offset = -offset
	}
	return time.FixedZone("", offset), among(hours, 0, longestOffset) && among(minutes, 0, 59)
}

// fraction reads the fraction of a second that s may begin with; size is how many bytes it takes, below zero if it is
// none that a time keeps.
func fraction[S ~string | ~[]byte](s S) (nanos, size int) {
	if len(s) == 0 || s[0] != '.' {
		return 0, 0
	}
	scale := 100_000_000
	for size = 1; size < len(s) && s[size] >= '0' && s[size] <= '9'; size++ {
		nanos += int(s[size]-'0') * scale
		scale /= 10
	}
	if size == 1 || size > 10 {
		return 0, -1
	}
	return nanos, size
}

func among(n, least, most int) bool { return n >= least && n <= most }

// pair is the number of two digits, far below zero if they are not digits.
func pair(tens, ones byte) int {
	if tens < '0' || tens > '9' || ones < '0' || ones > '9' {
		return -100_000
	}
	return int(tens-'0')*10 + int(ones-'0')
}

// longestOffset is the most hours that any zone was ever ahead of or behind UTC.
const longestOffset = 15

func daysIn(year int, month time.Month) int {
	return time.Date(year, month+1, 0, 0, 0, 0, 0, time.UTC).Day()
}
