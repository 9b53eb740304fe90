package entry

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
)

// clockSlack is how far ahead of now a moment may lie: a clock on the wall, or that of a phone, is some minutes before
// the computer's.
const clockSlack = 5 * time.Minute

// When reads the moment of what was done, in the zone of now; nothing is now. A date alone means noon, but today's
// before noon means now: what is noted down has happened. One later than now is refused. The error is a Refusal.
func When(text string, now time.Time) (time.Time, error) {
	at, err := Begin(text, now)
	if err == nil {
		err = cmp.Or(RefuseLater(at, now), refuseComing(text, at, now))
	}
	return at, err
}

// refuseComing refuses a date without a year that is much nearer in time to come than in the past, where it was read.
func refuseComing(text string, at, now time.Time) error {
	next, _, err := moment(text, now, true)
	if err != nil || now.Sub(at) < 300*24*time.Hour || !next.After(now) || next.Sub(now) > 60*24*time.Hour {
		return nil
	}
	r := laterThan(next, now)
	r.Hint = "for that of last year write " + at.Format("2 Jan 2006")
	return r
}

// RefuseLater refuses a moment that has not come yet, with what the clock shows.
func RefuseLater(at, now time.Time) error {
	if !at.After(now.Add(clockSlack)) {
		return nil
	}
	return laterThan(at, now)
}

func laterThan(at, now time.Time) logbook.Refusal {
	return logbook.Refusal{Reason: fmt.Sprintf("%s is later than now: the clock stands at %s",
		words.Moment(at.In(now.Location())), words.Moment(now)),
		Hint: "are the time and the clock right? daily dosing alone may begin later"}
}

// Later is the doubt about a moment that is still to come; "" is none.
func Later(at, now time.Time) string {
	if !at.After(now.Add(24 * time.Hour)) {
		return ""
	}
	return logbook.FormatTime(at) + " lies in the future; it counts from then on"
}

// longAgo is how long before all that is known a typed moment is asked about: a date of this year with the last one's
// number lies 365 days back, or 30 less on a test day that is late.
const longAgo = 300 * 24 * time.Hour

// DoubtPast is the doubt about a moment that was typed for an entry of a tank and lies long before three readings of
// one parameter or more: the year may be wrong. "" is none; it is none of a tank that is being filled.
func DoubtPast(v *logbook.View, tank string, at time.Time) (why string, err error) {
	measured, err := v.Measured(tank)
	for _, name := range measured {
		last, err := v.LastReadings(tank, name, time.Time{}, 3)
		if err != nil {
			return "", err
		}
		if len(last) == 3 && last[0].Time.Sub(at) > longAgo {
			return fmt.Sprintf("%s is %s before the last reading: right year?", words.Day(at),
				words.Days(last[2].Time.Sub(at).Hours()/24)), nil
		}
	}
	return "", err
}

// Begin is When for what may begin in time to come.
func Begin(text string, now time.Time) (time.Time, error) {
	at, alone, err := moment(text, now, false)
	if alone && at.After(now) && sameDay(at, now) {
		return now.Truncate(time.Second), nil
	}
	return at, err
}

// Since reads the beginning of what is asked for; a date alone means the beginning of that day.
func Since(text string, now time.Time) (time.Time, error) { return dayAt(text, now, false, 0) }

// Until is Since for what is still to come: a weekday, or a date without a year, is the next one.
func Until(text string, now time.Time) (time.Time, error) { return dayAt(text, now, true, 0) }

// AsOf reads the moment an answer is for; a date alone means the end of that day.
func AsOf(text string, now time.Time) (time.Time, error) { return dayAt(text, now, false, 1) }

// dayAt reads a moment. A day alone means its beginning, or with a 1 the last second of it.
func dayAt(text string, now time.Time, coming bool, days int) (time.Time, error) {
	at, alone, err := moment(text, now, coming)
	if alone && err == nil {
		y, m, d := at.In(now.Location()).Date()
		at = time.Date(y, m, d+days, 0, 0, -days, 0, now.Location())
	}
	return at, err
}

const aClock = `\d{1,2}:\d{2}(?::\d{2})?(?: ?[ap]m)?|\d{1,2} ?[ap]m`

var (
	clockAndDay = pattern(`^(` + aClock + `)(?:,? (.+))?$`)
	dayAndClock = pattern(`^(.+?),? (` + aClock + `)$`)
	timeAgo     = pattern(`^(an?|\d{1,4}) ?(mins?|minutes?|h|hours?|d|days?|w|weeks?|mo|months?) ago$`)
	dotted      = pattern(`^\d{1,2}\. ?\d{1,2}\.`)
)

// pattern is compiled when it is first asked for: most runs of the program read no moment.
func pattern(text string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })
}

// moment reads a moment as people type it: "09:30", "yesterday", "mon 18:00", "2 hours ago", "26 Oct", "7.9.2026" (with
// dots the day comes first), and all that logbook.ParseTime reads, which also refuses what the clocks skip or show
// twice on the night they are changed. A weekday or a date without a year is the latest one up to now, or of what is
// coming the next one from now on. alone says that a day was named without a time of day; at is its noon then.
func moment(text string, now time.Time, coming bool) (at time.Time, alone bool, err error) {
	text = strings.Join(strings.Fields(text), " ")
	s := strings.ToLower(text)
	if s == "" || s == "now" {
		return now.Truncate(time.Second), false, nil
	}
	if m := timeAgo().FindStringSubmatch(s); m != nil {
		at, err = before(now, m[1], m[2])
		return at, false, err
	}
	day, clock := s, ""
	if m := clockAndDay().FindStringSubmatch(s); m != nil {
		clock, day = m[1], m[2]
		text = day + " " + clock
	} else if m := dayAndClock().FindStringSubmatch(s); m != nil {
		day, clock = m[1], m[2]
	}
	named, again := dayNamed(day, now, coming)
	if named.IsZero() {
		at, err = parse(text, now)
		return at, clock == "" && !strings.Contains(s, ":"), err
	}
	at, err = parse(named.Format(time.DateOnly)+" "+clock, now)
	if clock != "" && err == nil && (coming && at.Before(now) || !coming && at.After(now.Add(clockSlack))) && again != 0 {
		at, err = parse(named.AddDate(0, 0, again).Format(time.DateOnly)+" "+clock, now)
	}
	return at, clock == "" && !strings.Contains(s, ":"), err
}

// dayNamed is the day that a word, or a date without a year, means; zero if it is none. A weekday is another one so
// many days on again.
func dayNamed(text string, now time.Time, coming bool) (day time.Time, again int) {
	offset := 0
	switch text {
	case "", "today":
	case "yesterday":
		offset = -1
	case "tomorrow":
		offset = 1
	default:
		w := weekday(text)
		if w < 0 {
			return dateNamed(text, now, coming), 0
		}
		if offset, again = (int(w-now.Weekday())+7)%7, 7; !coming {
			offset, again = -(int(now.Weekday()-w)+7)%7, 0 // of today's name it is today, which may be too late to be meant
		}
	}
	y, m, d := now.Date()
	return time.Date(y, m, d+offset, 0, 0, 0, 0, time.UTC), again
}

// weekday reads the name of a weekday, or its first three or more letters; -1 if it is none.
func weekday(text string) time.Weekday {
	for w := time.Sunday; w <= time.Saturday; w++ {
		if len(text) >= 3 && strings.HasPrefix(strings.ToLower(w.String()), text) {
			return w
		}
	}
	return -1
}

// dateNamed reads "26 oct", "oct 26" and "7.9.", as the latest such day up to today, or of those to come the next one.
func dateNamed(text string, now time.Time, coming bool) time.Time {
	gap, step := " ", -1
	if strings.HasSuffix(text, ".") {
		gap = ""
	}
	if coming {
		step = 1
	}
	for i := range 9 { // from one 29 February to the next are eight years at most
		at, err := parse(fmt.Sprintf("%s%s%d", text, gap, now.Year()+i*step), now)
		if err == nil && (sameDay(at, now) || at.After(now) == coming) {
			return at
		}
	}
	return time.Time{}
}

// before is the moment so long before now. Days, weeks and more keep the time of day.
func before(now time.Time, number, unit string) (time.Time, error) {
	n, err := strconv.Atoi(number)
	if err != nil {
		n = 1 // "an hour ago"
	}
	y, m, d := now.Date()
	switch unit {
	case "min", "mins", "minute", "minutes":
		return now.Add(-time.Duration(n) * time.Minute).Truncate(time.Second), nil
	case "h", "hour", "hours":
		return now.Add(-time.Duration(n) * time.Hour).Truncate(time.Second), nil
	case "d", "day", "days":
		d -= n
	case "w", "week", "weeks":
		d -= 7 * n
	default: // of a shorter month its last day
		m -= time.Month(n)
		d = min(d, time.Date(y, m+1, 0, 0, 0, 0, 0, time.UTC).Day())
	}
	return parse(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)+now.Format(" 15:04:05"), now)
}

// parse is logbook.ParseTime in the zone of now, where a date with dots has its day first.
func parse(text string, now time.Time) (time.Time, error) {
	order := logbook.AnyOrder
	if dotted().MatchString(strings.TrimSpace(text)) {
		order = logbook.DayFirst
	}
	at, err := logbook.ParseTime(text, now.Location(), order)
	if r, refused := err.(logbook.Refusal); refused && !strings.HasPrefix(r.Hint, "write the offset") {
		// of an hour that comes twice
		r.Hint = fmt.Sprintf("write 18:00, mon 18:00, %s or %s", now.Format("2 Jan"), words.Moment(now))
		err = r
	}
	return at, err
}

func sameDay(a, b time.Time) bool {
	return a.In(b.Location()).Format(time.DateOnly) == b.Format(time.DateOnly)
}

// Expiry reads the last day on which something is good, as 2027-03-31; a month, 2027-03 or 03/2027, is good to its end.
func Expiry(text string) (day string, err error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return "", nil
	}
	for _, layout := range []string{"2006-1", "1/2006", "1.2006", "1-2006", "Jan 2006", "January 2006"} {
		if month, err := time.Parse(layout, text); err == nil {
			return month.AddDate(0, 1, -1).Format(time.DateOnly), nil
		}
	}
	at, err := parse(text, time.Time{})
	if err != nil || strings.Contains(text, ":") {
		return "", refuse("write 2027-10-31, or 2027-10 for the end of that month", "%q is not a date", text)
	}
	return at.Format(time.DateOnly), nil
}

// mostDays is the longest time that is read, a hundred years.
const mostDays = 36525

// Days reads a length of time in days: "56d", "8w", "56", "3.5 days". A month is a twelfth of a year, to a whole day:
// "3mo" is 91.
func Days(text string) (float64, error) {
	value, unit := logbook.Split(text)
	n, err := Number(value)
	switch unit {
	case "w", "week", "weeks":
		n *= 7
	case "mo", "month", "months":
		n = math.Round(n * 365.25 / 12)
	case "y", "year", "years":
		n = math.Round(n * 365.25)
	case "", "d", "day", "days":
	default:
		n = 0
	}
	if err != nil || !(n > 0 && n <= mostDays) {
		return 0, refuse("write 56d, 8w or 3mo", "%q is not a length of time", text)
	}
	return n, nil
}
