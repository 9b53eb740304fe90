package report

import "time"

// tick is a date on a time axis.
type tick struct {
	at    time.Time
	label string
}

// ticks are the dates to print on an axis that has room for so many labels: the finest of weeks, months, quarters and
// years, each at its start in the zone of from.
func ticks(from, to time.Time, room int) []tick {
	for _, by := range []struct {
		layout              string
		years, months, days int
	}{{"2 Jan", 0, 0, 7}, {"Jan 2006", 0, 1, 0}, {"Jan 2006", 0, 3, 0}, {"2006", 1, 0, 0}, {"2006", 5, 0, 0}} {
		at := startOf(from, by.years, by.months)
		var out []tick
		for ; !at.After(to) && len(out) <= room; at = at.AddDate(by.years, by.months, by.days) {
			if !at.Before(from) {
				out = append(out, tick{at, at.Format(by.layout)})
			}
		}
		if len(out) <= room {
			return out
		}
	}
	return nil
}

// startOf is the beginning of the year, quarter, month or week (a Monday) that holds a moment.
func startOf(t time.Time, years, months int) time.Time {
	y, m, d := t.Date()
	switch {
	case years > 0:
		m, d = time.January, 1
	case months > 0:
		m, d = (m-1)/time.Month(months)*time.Month(months)+1, 1
	default:
		d -= int(t.Weekday()+6) % 7
	}
	return time.Date(y, m, d, 0, 0, 0, 0, t.Location())
}
