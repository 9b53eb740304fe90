package logbook

import (
	"cmp"
	"encoding/binary"
	"fmt"
	"iter"
	"math"
	"slices"
	"time"
)

// Readings gives the readings of a tank and parameter with from <= time <= to, in time order; a zero time leaves that
// end open. It reads one cursor range: what it costs depends on what it gives, not on the book.
func (v *View) Readings(tank, parameter string, from, to time.Time) (readings []Reading, err error) {
	readings, _, err = v.ReadingsAtMost(tank, parameter, from, to, math.MaxInt)
	return readings, err
}

// ReadingsAtMost is Readings where there are at most so many; where there are more it gives none, soon, and whole is
// false.
func (v *View) ReadingsAtMost(tank, parameter string, from, to time.Time, most int) (readings []Reading, whole bool,
	err error) {
	whole = true
	err = v.inSeries(tank, parameter, func(s series) {
		first, last := nanosecondsOf(from, to)
		n := v.entryCursor(KindReading).count(s, first, last, most)
		if whole = n <= most; n == 0 || !whole {
			return
		}
		readings = make([]Reading, 0, n)
		for key, value := range v.eachIn(KindReading, s, first, last) {
			readings = append(readings, v.reading(key, value))
		}
	})
	return readings, whole, err
}

// eachIn goes through the entries of a series with first <= time <= last. Where it ends it has read one more: a key
// that damage has moved into another series must not pass for the end of this one.
func (v *View) eachIn(kind Kind, s series, first, last int64) iter.Seq2[seriesKey, []byte] {
	return func(yield func(seriesKey, []byte) bool) {
		c := v.entryCursor(kind)
		start := newSeriesKey(s.tank, s.subject, first, ID{})
		for k, sealed := c.Seek(start[:]); k != nil; k, sealed = c.Next() {
			key, value := unsealEntry(kind, k, sealed)
			if !key.within(s, last) || !yield(key, value) {
				return
			}
		}
	}
}

// lastIn goes through the last n entries of a series up to last, backwards. It reads one more as well.
func (v *View) lastIn(kind Kind, s series, last int64, n int) iter.Seq2[seriesKey, []byte] {
	return func(yield func(seriesKey, []byte) bool) {
		c := v.entryCursor(kind)
		k, sealed := c.seekBefore(s, last)
		for ; k != nil && n > 0; k, sealed = c.Prev() {
			key, value := unsealEntry(kind, k, sealed)
			if !key.within(s, last) || !yield(key, value) {
				return
			}
			n--
		}
	}
}

func unsealEntry(kind Kind, k, sealed []byte) (key seriesKey, value []byte) {
	key = entryKey(kind, k)
	value, ok := unseal(k, sealed)
	if !ok {
		fail(damaged("the checksum of %s %s does not fit", kind, key.id()))
	}
	return key, value
}

func entryKey(kind Kind, k []byte) seriesKey {
	key, ok := seriesKeyOf(k)
	if !ok {
		fail(damaged("a key among the entries of kind %s has %d bytes", kind, len(k)))
	}
	return key
}

func (k seriesKey) of(s series) bool { return k.tank() == s.tank && k.subject() == s.subject }

// within reports whether a key lies in a series and not after a time.
func (k seriesKey) within(s series, last int64) bool { return k.of(s) && k.nanos() <= last }

// LastReadings gives the last n readings at or before to, in time order; a zero time means the last of all.
func (v *View) LastReadings(tank, parameter string, to time.Time, n int) ([]Reading, error) {
	return v.LastMadeWith(tank, parameter, "", to, n, n)
}

// FirstReading gives the first reading at or after from, if there is one; a zero time means the first of all.
func (v *View) FirstReading(tank, parameter string, from time.Time) (first Reading, found bool, err error) {
	rs, err := v.MadeWith(tank, parameter, "", from, time.Time{}, 1)
	if len(rs) == 0 {
		return first, false, err
	}
	return rs[0], true, err
}

// LastRefills gives the last n refills of a stock at or before to, in time order; a zero time means the last of all.
func (v *View) LastRefills(tank, stock string, to time.Time, n int) (refills []Refill, err error) {
	err = v.inSeries(tank, stock, func(s series) {
		for key, value := range v.lastIn(KindRefill, s, lastNanos(to), n) {
			refills = append(refills, v.entryOf(KindRefill, key, value).(Refill))
		}
	})
	slices.Reverse(refills)
	return refills, err
}

// inSeries runs one query of the series of a tank and a subject, unless the book has never seen one of them.
func (v *View) inSeries(tank, subject string, query func(s series)) error {
	return v.inTank(tank, func(number uint32) {
		if of, known := v.names.find(subject); known {
			query(series{number, of})
		}
	})
}

// inTank runs one query of a tank by its number, unless the book has never seen it. 0, the number of the empty name, is
// no tank's.
func (v *View) inTank(tank string, query func(number uint32)) error {
	return v.guarded(func() {
		if number, _ := v.names.find(v.present(tank)); number != 0 {
			query(number)
		}
	})
}

func (v *View) reading(key seriesKey, value []byte) Reading {
	return readingOf(key, v.readingValue(key, value), v.names.name(key.tank()), v.names.name(key.subject()), v.names.name)
}

func (v *View) readingValue(key seriesKey, value []byte) readingValue {
	r, err := readReading(value)
	if err != nil {
		fail(damaged("reading %s: %v", key.id(), err))
	}
	return r
}

func (v *View) entry(kind Kind, k, sealed []byte) Entry {
	key, value := unsealEntry(kind, k, sealed)
	return v.entryOf(kind, key, value)
}

func (v *View) entryOf(kind Kind, key seriesKey, value []byte) Entry {
	e, err := readEntry(kind, key, value, v.names.name)
	if err != nil {
		fail(damaged("%s %s: %v", kind, key.id(), err))
	}
	return e
}

// series is one series of a kind: the numbers of its tank and subject.
type series struct{ tank, subject uint32 }

// eachSeries finds the series of a kind that begin with a tank (0: of every tank), by skipping from one to the next.
func (v *View) eachSeries(kind Kind, tank uint32) (found []series) {
	c := v.entryCursor(kind)
	next := binary.BigEndian.AppendUint64(nil, uint64(tank)<<32)
	for {
		k, _ := c.Seek(next)
		if k == nil {
			return found
		}
		key := entryKey(kind, k)
		if tank != 0 && key.tank() != tank {
			return found
		}
		found = append(found, series{key.tank(), key.subject()})
		prefix := binary.BigEndian.Uint64(k)
		if prefix == 1<<64-1 {
			return found
		}
		binary.BigEndian.PutUint64(next, prefix+1)
	}
}

// Measured lists the parameters a tank has readings of, in the order of Parameters. It skips from series to series.
func (v *View) Measured(tank string) (parameters []string, err error) {
	err = v.inTank(tank, func(number uint32) {
		parameters = gather(v.eachSeries(KindReading, number), func(s series) string { return v.names.name(s.subject) })
		described := v.parameters()
		rank := func(name string) uint { // that of what is not described is the highest
			return uint(slices.IndexFunc(described, func(p Parameter) bool { return p.Name == name }))
		}
		slices.SortFunc(parameters, func(a, b string) int { return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a, b)) })
	})
	return parameters, err
}

// Entries gives the entries of a kind with from <= time <= to, in time order; a zero time leaves that end open.
func (v *View) Entries(tank string, kind Kind, from, to time.Time) (entries []Entry, err error) {
	if kindNumber(kind) == 0 {
		return nil, fmt.Errorf("%q is no kind of entry", kind)
	}
	err = v.inTank(tank, func(number uint32) {
		all := v.eachSeries(kind, number) // one, except for readings and dosings
		first, last := nanosecondsOf(from, to)
		for _, s := range all {
			for key, value := range v.eachIn(kind, s, first, last) {
				entries = append(entries, v.entryOf(kind, key, value))
			}
		}
		if len(all) > 1 {
			slices.SortStableFunc(entries, func(a, b Entry) int { return a.When().Compare(b.When()) })
		}
	})
	return entries, err
}

// DosingsBefore gives, for every supplement that ever brought a parameter into a tank, the newest dosing before to:
// what was in force when a window begins. Parameter "" means all parameters. They come in time order.
func (v *View) DosingsBefore(tank, parameter string, to time.Time) (dosings []Dosing, err error) {
	err = v.inTank(tank, func(number uint32) {
		last := lastNanos(to)
		if !to.IsZero() {
			last--
		}
		for _, s := range v.eachSeries(KindDosing, number) {
			for key, value := range v.lastIn(KindDosing, s, last, 1) {
				if d := v.entryOf(KindDosing, key, value).(Dosing); parameter == "" || d.Parameter == parameter {
					dosings = append(dosings, d)
				}
			}
		}
		slices.SortStableFunc(dosings, func(a, b Dosing) int { return a.Time.Compare(b.Time) })
	})
	return dosings, err
}

// A series may hold the weekly tests of a kit among the thousands of readings of a probe. These queries pass over the
// others without keeping them; a method is told by its number, so that little is done for each.

// MadeWith gives, of the readings with from <= time <= to, the first ones made with a method, most of them at the most.
// An empty method means any.
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

func (v *View) madeWith(tank, parameter, method string, most int,
	walk func(series) iter.Seq2[seriesKey, []byte]) (readings []Reading, err error) {
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
