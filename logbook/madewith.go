package logbook

import (
	"iter"
	"slices"
	"time"
)

// A series may hold the weekly tests of a kit among the thousands of readings of a probe. These queries pass over the
// others without keeping them; a method is told by its number, so that little is done for each.

// MadeWith gives, of the readings with from <= time <= to, the first ones made with a method, most of them at the most. An empty
// method means any.
func (v *View) MadeWith(tank, parameter, method string, from, to time.Time, most int) ([]Reading, error) {
	first, last := nanosecondsOf(from, to)
	return v.madeWith(tank, parameter, method, most, func(s series) iter.Seq2[seriesKey, []byte] {
		return v.eachIn(KindReading, s, first, last)
	})
}

// LastMadeWith gives the last n readings at or before to that were made with a method, in time order, of the last look
// readings of any. An empty method means any.
func (v *View) LastMadeWith(tank, parameter, method string, to time.Time, n, look int) ([]Reading, error) {
	readings, err := v.madeWith(tank, parameter, method, n, func(s series) iter.Seq2[seriesKey, []byte] {
		return v.lastIn(KindReading, s, lastNanos(to), look)
	})
	slices.Reverse(readings)
	return readings, err
}

func (v *View) madeWith(tank, parameter, method string, most int, walk func(series) iter.Seq2[seriesKey, []byte]) (readings []Reading, err error) {
	err = v.inSeries(tank, parameter, func(s series) {
		number, known := v.names.find(method)
		if !known || most <= 0 {
			return
		}
		for key, value := range walk(s) {
			if method != "" && v.readingValue(key, value).method != number {
				continue
			}
			if readings = append(readings, v.reading(key, value)); len(readings) == most {
				return
			}
		}
	})
	return readings, err
}
