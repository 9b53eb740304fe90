package logbook

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// EachReading hands every reading to fn: by tank, parameter, time and ID. It holds one reading in memory at a time.
func (v *View) EachReading(fn func(Reading) error) error {
	return v.handing(func(o *outside) error {
		return v.eachEntry(KindReading, func(e Entry) error {
			return o.call(func() error { return fn(e.(Reading)) })
		})
	})
}

// EachRecord hands every record to fn in the order of an export: the book's own parameters, the tanks, the methods,
// the supplements, the chores and the stocks, each by name; then the entries, kind by kind, by tank, subject, time
// and ID; then the struck entries by ID; then the strikes by time and target. That order does not depend on the order
// in which the book was written. All but the definitions and the strikes are held in memory one at a time.
func (v *View) EachRecord(fn func(Record) error) error {
	return v.handing(func(o *outside) error {
		hand := func(rec Record) error { return o.call(func() error { return fn(rec) }) }
		if err := v.eachDefinition(hand); err != nil {
			return err
		}
		for _, kind := range entryKinds() {
			if err := v.eachEntry(kind, func(e Entry) error { return hand(e) }); err != nil {
				return err
			}
		}
		var strikes []Strike
		err := v.eachStruck(func(e Entry, s Strike) error {
			strikes = append(strikes, s)
			return hand(e)
		})
		if err != nil {
			return err
		}
		slices.SortStableFunc(strikes, func(a, b Strike) int { return a.Time.Compare(b.Time) })
		for _, s := range strikes {
			if err := hand(s); err != nil {
				return err
			}
		}
		return nil
	})
}

// handing runs a query that calls functions of the caller.
func (v *View) handing(query func(o *outside) error) error {
	var o outside
	err := guarded(func() error {
		if err := v.pages.whole(); err != nil {
			return err
		}
		return query(&o)
	})
	o.raise()
	if o.failed != nil { // the caller's own error goes back as it is
		return o.failed
	}
	return explain(v.path, err)
}

func (v *View) eachDefinition(hand func(Record) error) error {
	for _, d := range definitions() {
		if err := v.eachDefinitionOf(d.Kind(), "", hand); err != nil {
			return err
		}
	}
	return nil
}

// eachEntry goes through the entries of a kind: by the names of tank and subject, then by time and ID.
func (v *View) eachEntry(kind Kind, fn func(Entry) error) error {
	all, err := v.namedSeries(kind)
	if err != nil {
		return err
	}
	n := 0
	for _, s := range all {
		err := v.eachIn(kind, s, 0, endTime().UnixNano(), func(key seriesKey, value []byte) error {
			n++
			e, err := v.entryOf(kind, key, value)
			if err != nil {
				return err
			}
			return fn(e)
		})
		if err != nil {
			return err
		}
	}
	if kept := keyCount(entryBucket(v.tx, kind)); n != kept {
		return fmt.Errorf("%w: %d entries of kind %s were found and there should be %d", ErrDamaged, n, kind, kept)
	}
	return nil
}

// NewestAfter is the time of the newest entry, in UTC, where it lies after the clock by more than the minute that the
// clocks of two computers may differ by; else the zero time. A dosing does not count, for it may be meant to begin
// later. It costs a seek for each series.
func (v *View) NewestAfter(clock time.Time) (newest time.Time, err error) {
	latest := clock.Add(time.Minute)
	err = v.guarded(func() error {
		for _, kind := range entryKinds() {
			all, err := v.eachSeries(kind, 0)
			if err != nil {
				return err
			}
			for _, s := range all {
				err := v.lastIn(kind, s, time.Time{}, 1, func(key seriesKey, _ []byte) error {
					if t := time.Unix(0, key.nanos()).UTC(); kind != KindDosing && t.After(latest) {
						newest, latest = t, t
					}
					return nil
				})
				if err != nil {
					return err
				}
			}
		}
		return nil
	})
	return newest, err
}

// namedSeries lists the series of a kind in the order of their names, which is the same in every book.
func (v *View) namedSeries(kind Kind) ([]series, error) {
	all, err := v.eachSeries(kind, 0)
	if err != nil {
		return nil, err
	}
	for _, s := range all {
		for _, number := range []uint32{s.tank, s.subject} {
			if _, err := v.names.name(number); err != nil {
				return nil, err
			}
		}
	}
	text := v.names.text
	slices.SortFunc(all, func(a, b series) int {
		return cmp.Or(cmp.Compare(text[a.tank], text[b.tank]), cmp.Compare(text[a.subject], text[b.subject]))
	})
	return all, nil
}

// Counts is how much a book holds.
type Counts struct {
	Tanks, Methods, Chores int
	Supplements, Stocks    int
	Readings               int
	Entries                map[Kind]int // the other entries
	Struck                 int
}

// Count says how much there is. It looks up numbers that are kept, and counts nothing.
func (v *View) Count() (counts Counts, err error) {
	err = v.guarded(func() error {
		counts = Counts{
			Tanks:       keyCount(tanksBucket(v.tx)),
			Methods:     keyCount(definitionBucket(v.tx, KindMethod)),
			Chores:      keyCount(definitionBucket(v.tx, KindChore)),
			Supplements: keyCount(definitionBucket(v.tx, KindSupplement)),
			Stocks:      keyCount(definitionBucket(v.tx, KindStock)),
			Struck:      keyCount(struckBucket(v.tx)),
			Entries:     map[Kind]int{},
		}
		for _, kind := range entryKinds() {
			n := keyCount(entryBucket(v.tx, kind))
			if kind == KindReading {
				counts.Readings = n
			} else if n > 0 {
				counts.Entries[kind] = n
			}
		}
		return nil
	})
	return counts, err
}

// String says it in words.
func (c Counts) String() string {
	text := fmt.Sprintf("%d tanks, %d readings", c.Tanks, c.Readings)
	for _, kind := range entryKinds() {
		if n := c.Entries[kind]; n > 0 {
			text += fmt.Sprintf(", %d %s", n, kind)
		}
	}
	return text + fmt.Sprintf(", %d struck", c.Struck)
}
