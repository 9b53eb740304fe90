package picture

import "time"

// Tick is a date on a time axis.
type Tick struct {
	At    time.Time
	Label string
}

// Ticks are the dates to print on an axis as long as so many characters: the finest of days, weeks, months, quarters
// and whole numbers of years whose labels find room, each at its start in the zone of from. Where months find room
// without their year, each January is named by it.
func Ticks(from, to time.Time, room int) []Tick {
	for _, by := range []struct {
		layout              string
		label               int // its width, with some air
		years, months, days int
	}{{"2 Jan", 9, 0, 0, 1}, {"2 Jan", 9, 0, 0, 7}, {"Jan 2006", 10, 0, 1, 0}, {"Jan", 6, 0, 1, 0}, {"Jan 2006", 10, 0, 3, 0}, {"Jan", 6, 0, 3, 0},
		{"2006", 6, 1, 0, 0}, {"2006", 6, 2, 0, 0}, {"2006", 6, 5, 0, 0}, {"2006", 6, 10, 0, 0}, {"2006", 6, 20, 0, 0}} {
		var out []Tick
		at := startOf(from, by.years, by.months, by.days)
		for ; !at.After(to) && len(out)*by.label <= room; at = at.AddDate(by.years, by.months, by.days) {
			if !at.Before(from) {
				layout := by.layout
				if layout == "Jan" && at.Month() == time.January {
					layout = "2006"
				}
				out = append(out, Tick{at, at.Format(layout)})
			}
		}
		if len(out)*by.label <= room {
			return out
		}
	}
	return nil
}

// startOf is the beginning of the years, the quarter, month, week (a Monday) or day that holds a moment.
func startOf(t time.Time, years, months, days int) time.Time {
	y, m, d := t.Date()
	switch {
	case years > 0:
		y, m, d = y/years*years, time.January, 1
	case months > 0:
		m, d = (m-1)/time.Month(months)*time.Month(months)+1, 1
	case days == 7:
		d -= int(t.Weekday()+6) % 7
	}
	return time.Date(y, m, d, 0, 0, 0, 0, t.Location())
}
