package logbook

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// A wide table has one row for each moment of a tank and one column for each parameter, the unit in its header. Two
// tests of one parameter at the same moment take two rows; so do two methods or notes, where the table has a column for
// them.

type wideOut struct {
	*csvWriter
	readings   []Reading
	parameters []string          // in the order of their columns
	units      map[string]string // of the columns
}

func (c *csvWriter) writeWide(v *View) error {
	w := wideOut{csvWriter: c, units: map[string]string{}}
	var named []string
	for _, column := range c.columns {
		if _, is := c.parameters[column]; is && !slices.Contains(csvOut(), column) {
			named = append(named, column)
		}
	}
	ifWritten := func(column string, text *string) { // else it makes no row of its own
		if !slices.Contains(c.columns, column) {
			*text = ""
		}
	}
	latest := map[string]time.Time{}
	err := v.EachReading(func(r Reading) error {
		if !c.opt.takes(r.Tank, r.Time) || len(named) > 0 && !slices.Contains(named, r.Parameter) {
			return nil
		}
		ifWritten("method", &r.Method)
		ifWritten("note", &r.Note)
		ifWritten("who", &r.Who)
		w.readings = append(w.readings, r)
		if last, seen := latest[r.Parameter]; !seen || !r.Time.Before(last) {
			latest[r.Parameter], w.units[r.Parameter] = r.Time, r.Unit
		}
		return nil
	})
	if err != nil {
		return err
	}
	w.chooseParameters(named)
	if err := w.write(); err != nil {
		return err
	}
	return c.Flush()
}

// chooseParameters settles the columns: those that were named, else one for every parameter with a reading, in the
// usual order. Each is in the unit that was asked for, else in that of its latest reading.
func (w *wideOut) chooseParameters(named []string) {
	w.parameters = named
	if len(named) == 0 {
		usual := gather(Standard(), func(p Parameter) string { return p.Name })
		for _, name := range slices.Concat(usual, sortedKeys(w.units)) {
			if _, read := w.units[name]; read && !slices.Contains(w.parameters, name) {
				w.parameters = append(w.parameters, name)
			}
		}
		w.columns = append(w.columns, w.parameters...)
	}
	for name, unit := range w.opt.Units {
		w.units[name] = unit
	}
	for _, name := range w.parameters {
		if w.units[name] == "" {
			w.units[name] = w.csvWriter.parameters[name].Unit
		}
	}
}

func (w *wideOut) write() error {
	header := slices.Clone(w.columns)
	for i, column := range header {
		if unit := w.units[column]; slices.Contains(w.parameters, column) && unit != "" {
			header[i] = column + " (" + unit + ")"
		}
	}
	if err := w.writeHeader(header); err != nil {
		return err
	}
	slices.SortStableFunc(w.readings, compareMoment)
	for i := 0; i < len(w.readings); {
		j := i + 1
		for j < len(w.readings) && compareMoment(w.readings[i], w.readings[j]) == 0 {
			j++
		}
		if err := w.writeMoment(w.readings[i:j]); err != nil {
			return err
		}
		i = j
	}
	return nil
}

func compareMoment(a, b Reading) int {
	if c := cmp.Or(strings.Compare(a.Tank, b.Tank), a.Time.Compare(b.Time)); c != 0 {
		return c
	}
	return cmp.Or(strings.Compare(FormatTime(a.Time), FormatTime(b.Time)), strings.Compare(a.Method, b.Method),
		strings.Compare(a.Note, b.Note), strings.Compare(a.Who, b.Who))
}

func (w *wideOut) writeMoment(rs []Reading) error {
	of := map[string][]Reading{}
	rows := 0
	for _, r := range rs {
		of[r.Parameter] = append(of[r.Parameter], r)
		rows = max(rows, len(of[r.Parameter]))
	}
	for _, same := range of {
		slices.SortFunc(same, compareSaid)
	}
	for i := range rows {
		err := w.writeRow(w.columns, func(column string) error {
			if !slices.Contains(w.parameters, column) {
				w.appendOf(&rs[0], column)
				return nil
			}
			if i >= len(of[column]) {
				return nil
			}
			text, _, err := w.value(&of[column][i], w.units[column])
			w.appendValue(text)
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}
