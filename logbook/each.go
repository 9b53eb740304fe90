package logbook

import (
	"bytes"
	"cmp"
	"iter"
	"slices"
	"time"
)

// EachReading hands every reading to fn: by tank, parameter, time and ID. It holds one reading in memory at a time.
func (v *View) EachReading(fn func(Reading) error) error {
	return v.handing(func(o *outside) {
		for r := range eachOfKind(v, KindReading, v.reading) {
			o.call(func() error { return fn(r) })
		}
	})
}

// EachRecord hands every record to fn in the order of an export: the changes of the book's own parameters, of the
// tanks, the methods, the supplements, the chores and the stocks, each by name and then as they count; then the
// entries, kind by kind, by tank, subject, time and ID; then the struck entries by ID; then the strikes by time and
// target. That order does not depend on the order in which the book was written. All but the definitions and the
// strikes are held in memory one at a time.
func (v *View) EachRecord(fn func(Record) error) error {
	return v.handing(func(o *outside) {
		hand := func(rec Record) { o.call(func() error { return fn(rec) }) }
		for _, c := range v.changesByName() {
			hand(c)
		}
		for _, kind := range EntryKinds() {
			entry := func(key seriesKey, value []byte) Entry { return v.entryOf(kind, key, value) }
			for e := range eachOfKind(v, kind, entry) {
				hand(e)
			}
		}
		var strikes []Strike
		for e, s := range v.eachStruck() {
			strikes = append(strikes, s.strike)
			hand(e)
		}
		slices.SortStableFunc(strikes, func(a, b Strike) int { return a.Time.Compare(b.Time) })
		for _, s := range strikes {
			hand(s)
		}
	})
}

// changesByName are the changes by kind, parameters before the tanks whose bands name them, and then by name.
func (v *View) changesByName() []Change {
	all := v.changes()
	slices.SortStableFunc(all, func(a, b Change) int {
		x, _ := appendDefinition(a.Of)
		y, _ := appendDefinition(b.Of)
		return cmp.Or(cmp.Compare(kindPlace(a.Kind()), kindPlace(b.Kind())), bytes.Compare(x, y))
	})
	return all
}

// handing runs a query that calls functions of the caller.
func (v *View) handing(query func(o *outside)) error {
	var o outside
	return o.end(v.guarded(func() {
		v.pages.whole()
		query(&o)
	}))
}

// eachOfKind goes through the entries of a kind: by the names of tank and subject, then by time and ID. read makes each
// of its key and value.
func eachOfKind[T any](v *View, kind Kind, read func(seriesKey, []byte) T) iter.Seq[T] {
	return func(yield func(T) bool) {
		all, n, name := v.eachSeries(kind, 0), 0, v.names.name
		slices.SortFunc(all, func(a, b series) int { // the order of names is the same in every book
			return cmp.Or(cmp.Compare(name(a.tank), name(b.tank)), cmp.Compare(name(a.subject), name(b.subject)))
		})
		for _, s := range all {
			for key, value := range v.eachIn(kind, s, 0, endTime().UnixNano()) {
				if n++; !yield(read(key, value)) {
					return
				}
			}
		}
		if kept := keyCount(entryBucket(v.tx, kind)); n != kept {
			fail(damaged("%d entries of kind %s were found and there should be %d", n, kind, kept))
		}
	}
}

// NewestAfter is the time of the newest entry, in UTC, where it lies after the clock by more than the minute that the
// clocks of two computers may differ by; else the zero time. A dosing does not count, for it may be meant to begin
// later. It costs a seek for each series.
func (v *View) NewestAfter(clock time.Time) (newest time.Time, err error) {
	latest := clock.Add(time.Minute)
	err = v.guarded(func() {
		for _, kind := range EntryKinds() {
			for _, s := range v.eachSeries(kind, 0) {
				for key := range v.lastIn(kind, s, lastNanos(time.Time{}), 1) {
					if t := time.Unix(0, key.nanos()).UTC(); kind != KindDosing && t.After(latest) {
						newest, latest = t, t
					}
				}
			}
		}
	})
	return newest, err
}

// Counts is how much a book holds.
type Counts struct {
	Tanks    int
	Readings int
	Entries  map[Kind]int // the other entries
	Struck   int
}

// Count says how much there is. It looks up numbers that are kept, and counts nothing.
func (v *View) Count() (counts Counts, err error) {
	err = v.guarded(func() {
		counts = Counts{
			Tanks:   keyCount(tanksBucket(v.tx)),
			Struck:  keyCount(struckBucket(v.tx)),
			Entries: map[Kind]int{},
		}
		for _, kind := range EntryKinds() {
			n := keyCount(entryBucket(v.tx, kind))
			if kind == KindReading {
				counts.Readings = n
			} else if n > 0 {
				counts.Entries[kind] = n
			}
		}
	})
	return counts, err
}
