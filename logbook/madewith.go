package logbook

import (
	"errors"
	"fmt"
	"slices"
	"time"
)

// A series may hold the weekly tests of a kit among the thousands of readings of a probe. These queries pass over the
// others without keeping them; a method is told by its number, so that little is done for each.

// MadeWith gives, of the readings with from <= time <= to, the first ones made with a method, most of them at the most. An empty
// method means any.
func (v *View) MadeWith(tank, parameter, method string, from, to time.Time, most int) (readings []Reading, err error) {
	first, last := nanosecondsOf(from, to)
	err = v.madeWith(&readings, tank, parameter, method, most, func(s series, keep func(seriesKey, []byte) error) error {
		return v.eachIn(KindReading, s, first, last, keep)
	})
	return readings, err
}

// LastMadeWith gives the last n readings at or before to that were made with a method, in time order, of the last look
// readings of any. An empty method means any.
func (v *View) LastMadeWith(tank, parameter, method string, to time.Time, n, look int) (readings []Reading, err error) {
	err = v.madeWith(&readings, tank, parameter, method, n, func(s series, keep func(seriesKey, []byte) error) error {
		return v.lastIn(KindReading, s, to, look, keep)
	})
	slices.Reverse(readings)
	return readings, err
}

// errEnough ends a walk that has what it wants.
var errEnough = errors.New("enough")

// madeWith keeps the readings of a walk that were made with a method, most of them at the most.
func (v *View) madeWith(readings *[]Reading, tank, parameter, method string, most int, walk func(s series, keep func(seriesKey, []byte) error) error) error {
	read := v.readInto(readings, tank, parameter)
	return v.inSeries(tank, parameter, func(s series) error {
		number, known, err := v.names.find(method)
		if err != nil || !known || most <= 0 {
			return err
		}
		err = walk(s, func(key seriesKey, value []byte) error {
			if r, err := readReading(value); err != nil {
				return fmt.Errorf("%w: reading %s: %v", ErrDamaged, key.id(), err)
			} else if method != "" && r.method != number {
				return nil
			}
			if err := read(key, value); err != nil || len(*readings) < most {
				return err
			}
			return errEnough
		})
		if errors.Is(err, errEnough) {
			return nil
		}
		return err
	})
}
