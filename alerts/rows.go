package alerts

import (
	"cmp"
	"slices"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
)

// Table is what a tank's book holds of a stretch of time: a row for each moment at which something was tested, a column
// for each parameter, and beside them what else was noted.
type Table struct {
	Tank    logbook.Tank
	Columns []logbook.Parameter // those with a reading in some row, in the keeper's order
	Rows    []Row               // the newest first
	Thinned bool                // of a dense log there is one reading a day
	Known   words.Known
}

// Row is one moment. Of what else was noted on its day it holds what no other row of that day is nearer to.
type Row struct {
	Time     time.Time
	Readings []logbook.Reading // of the moment, one of a parameter: a second one has a row of its own
	Done     []logbook.Entry   // in time order
}

// Reading is the row's reading of a parameter.
func (r Row) Reading(parameter string) (logbook.Reading, bool) {
	return words.First(r.Readings, func(x logbook.Reading) bool { return x.Parameter == parameter })
}

// Tests are the row's readings as entries.
func (r Row) Tests() []logbook.Entry {
	return words.Of(r.Readings, func(x logbook.Reading) logbook.Entry { return x })
}

// TableOf reads the table of a stretch of time; zero times leave its ends open. Columns are as the tank has them, or
// else as is usual.
func TableOf(v *logbook.View, t logbook.Tank, usual logbook.Order, from, to time.Time) (Table, error) {
	columns, err1 := ParametersOf(v, t)
	known, err2 := words.Know(v, t.Name)
	done, err3 := Entries(v, t.Name, DoneKinds(), from, to)
	out := Table{Tank: t, Known: known}
	if err := cmp.Or(err1, err2, err3); err != nil {
		return out, err
	}
	t.OrderOr(usual).Sort(columns)
	for _, p := range columns {
		rs, thinned, err := DailyReadings(v, t.Name, p.Name, from, to)
		if err != nil {
			return out, err
		}
		rs = slices.DeleteFunc(rs, func(r logbook.Reading) bool { return r.Time.Before(from) }) // the latest of a dense log
		if len(rs) == 0 {
			continue
		}
		out.Columns, out.Thinned = append(out.Columns, p), out.Thinned || thinned
		for _, r := range rs {
			out.Rows = append(out.Rows, Row{Time: r.Time, Readings: []logbook.Reading{r}})
		}
	}
	out.gather(done)
	return out, nil
}

// gather joins the rows of one moment, puts what was done beside the nearest of its day, and turns the newest to the
// top.
func (t *Table) gather(done []logbook.Entry) {
	slices.SortStableFunc(t.Rows, func(a, b Row) int { return a.Time.Compare(b.Time) })
	var rows []Row
	for _, r := range t.Rows {
		i := len(rows) // the first row of the moment that has no reading of the parameter
		for i > 0 && rows[i-1].Time.Equal(r.Time) {
			i--
		}
		for i < len(rows) && len(r.Readings) > 0 {
			if _, taken := rows[i].Reading(r.Readings[0].Parameter); !taken {
				rows[i].Readings = append(rows[i].Readings, r.Readings...)
				r.Readings = nil
			}
			i++
		}
		if len(r.Readings) > 0 {
			rows = append(rows, r)
		}
	}
	tested := len(rows)
	for _, e := range done {
		if i, found := nearestOfDay(rows[:tested], e.When(), t.Tank.Zone()); found {
			rows[i].Done = append(rows[i].Done, e)
			continue
		}
		if n := len(rows); n > tested && words.Midnights(rows[n-1].Time, e.When(), t.Tank.Zone()) == 0 {
			// a day without a test
			rows[n-1].Done = append(rows[n-1].Done, e)
			continue
		}
		rows = append(rows, Row{Time: e.When(), Done: []logbook.Entry{e}})
	}
	slices.SortStableFunc(rows, func(a, b Row) int { return b.Time.Compare(a.Time) })
	t.Rows = rows
}

// nearestOfDay is the row, of those in time order, that is nearest to a moment and lies on its day.
func nearestOfDay(rows []Row, at time.Time, zone *time.Location) (nearest int, found bool) {
	after, _ := slices.BinarySearchFunc(rows, at, func(r Row, at time.Time) int { return r.Time.Compare(at) })
	gap := func(i int) time.Duration { return rows[i].Time.Sub(at).Abs() }
	for _, i := range []int{after, after - 1} {
		if i < 0 || i >= len(rows) || words.Midnights(rows[i].Time, at, zone) != 0 {
			continue
		}
		if !found || cmp.Less(gap(i), gap(nearest)) {
			nearest, found = i, true
		}
	}
	return nearest, found
}

// Cell is a reading of a row as the table shows it, in the unit of its column; "" where there is none.
func (r Row) Cell(p logbook.Parameter) string {
	if x, there := r.Reading(p.Name); there {
		return words.Value(p, x)
	}
	return ""
}

// DoneText is what else was noted, in words.
func (r Row) DoneText(k words.Known) string { return words.List(r.Done, k.Entry) }

// Head are the heads of a written table: day, time, a parameter with its unit each, and what was done.
func (t Table) Head() []string {
	of := func(p logbook.Parameter) string { return words.WithUnit(p.Name, words.Unit(p)) }
	return slices.Concat([]string{"date", "time"}, words.Of(t.Columns, of), []string{"done"})
}

// Line are the cells of a row, as Head has them; the moment is that of the tank's zone.
func (t Table) Line(r Row) []string {
	at := r.Time.In(t.Tank.Zone())
	day := []string{at.Format(time.DateOnly), at.Format("15:04")}
	return slices.Concat(day, words.Of(t.Columns, r.Cell), []string{r.DoneText(t.Known)})
}
