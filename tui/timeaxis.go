package tui

import "time"

// tick is a date on a time axis.
type tick struct {
	at    time.Time
	label string
}

// ticks lists the dates to print on an axis: the finest of days, weeks, months, quarters and years whose labels find
// room, each at its start in the zone of from.
func ticks(from, to time.Time, columns int) []tick {
	days := to.Sub(from).Hours() / 24
	room := float64(columns) / days // columns a day
	const label = 10                // "Mar 2026" and some air
	switch {
	case room >= label-1:
		return ticksBy(from, to, "2 Jan", 0, 0, 1)
	case room*7 >= label-1:
		return ticksBy(from, to, "2 Jan", 0, 0, 7)
	case room*30 >= label:
		return ticksBy(from, to, "Jan 2006", 0, 1, 0)
	case room*91 >= label:
		return ticksBy(from, to, "Jan 2006", 0, 3, 0)
	}
	// Whole numbers of years, so that the labels stand evenly.
	for _, years := range []int{1, 2, 5, 10} {
		if room*365*float64(years) >= label-4 {
			return ticksBy(from, to, "2006", years, 0, 0)
		}
	}
	return ticksBy(from, to, "2006", 20, 0, 0)
}

func ticksBy(from, to time.Time, layout string, years, months, days int) []tick {
	y, m, d := from.Date()
	switch {
	case years > 0:
		y, m, d = y/years*years, time.January, 1
	case months == 3:
		m, d = (m-1)/3*3+1, 1
	case months > 0:
		d = 1
	case days == 7:
		d -= int(from.Weekday()+6) % 7 // Mondays
	}
	at := time.Date(y, m, d, 0, 0, 0, 0, from.Location())
	var out []tick
	for !at.After(to) && len(out) < 1000 {
		if !at.Before(from) {
			out = append(out, tick{at, at.Format(layout)})
		}
		at = at.AddDate(years, months, days)
	}
	return out
}
