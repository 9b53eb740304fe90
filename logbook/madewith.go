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
	err = v.guarded(func() error {
		s, number, known, err := v.seriesMadeWith(tank, parameter, method)
		if err != nil || !known || most <= 0 {
			return err
		}
		first, last := nanosecondsOf(from, to)
		err = v.eachIn(KindReading, s, first, last, v.gather(&readings, tank, parameter, method, number, most))
		return unlessEnough(err)
	})
	return readings, err
}

// LastMadeWith gives the last n readings at or before to that were made with a method, in time order, of the last look
// readings of any. An empty method means any.
func (v *View) LastMadeWith(tank, parameter, method string, to time.Time, n, look int) (readings []Reading, err error) {
	err = v.guarded(func() error {
		s, number, known, err := v.seriesMadeWith(tank, parameter, method)
		if err != nil || !known || n <= 0 {
			return err
		}
		err = v.lastIn(KindReading, s, to, look, v.gather(&readings, tank, parameter, method, number, n))
		slices.Reverse(readings)
		return unlessEnough(err)
	})
	return readings, err
}

// gather keeps the readings of a walk that were made with a method, and ends it when it has most of them.
func (v *View) gather(readings *[]Reading, tank, parameter, method string, number uint32, most int) func(seriesKey, []byte) error {
	return func(key seriesKey, value []byte) error {
		if is, err := madeWith(key, value, method, number); err != nil || !is {
			return err
		}
		r, err := v.reading(key, value, tank, parameter)
		if *readings = append(*readings, r); err == nil && len(*readings) == most {
			err = errEnough
		}
		return err
	}
}

// errEnough ends a walk that has what it wants.
var errEnough = errors.New("enough")

// unlessEnough is the error of a walk that may have ended because it had what it wanted.
func unlessEnough(err error) error {
	if errors.Is(err, errEnough) {
		return nil
	}
	return err
}

// seriesMadeWith gives the numbers of a series and of a method; known is false if the book has never seen one of them.
func (v *View) seriesMadeWith(tank, parameter, method string) (s series, number uint32, known bool, err error) {
	if s.tank, s.subject, known, err = v.seriesOf(tank, parameter); err != nil || !known {
		return s, 0, false, err
	}
	number, known, err = v.names.find(method)
	return s, number, known, err
}

func madeWith(key seriesKey, value []byte, method string, number uint32) (bool, error) {
	if method == "" {
		return true, nil
	}
	r, err := readReading(value)
	if err != nil {
		return false, fmt.Errorf("%w: reading %s: %v", ErrDamaged, key.id(), err)
	}
	return r.method == number, nil
}
