package logbook

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"

	bolt "go.etcd.io/bbolt"
)

// Append adds records in one durable transaction, all or none, and gives the ID of each (zero for definitions, the
// target for strikes). A definition takes the place of the older one of its name. An entry without an ID gets one
// derived from what it says; one that says exactly what another one says gets the next. The tank of an entry must be
// there, or be among the records; else ErrNotFound.
func (b *Book) Append(recs ...Record) ([]ID, error) {
	return b.appending(task{records: len(recs)}, func(w *writer) ([]ID, bool) { return w.append(recs), true })
}

// appending is update for what gives the IDs of what it appends.
func (b *Book) appending(t task, fn func(w *writer) (ids []ID, keep bool)) (ids []ID, err error) {
	err = b.update(t, func(w *writer) (keep bool) {
		ids, keep = fn(w)
		return keep
	})
	if err != nil {
		return nil, err
	}
	return ids, nil
}

// Update looks at the book and appends the records that fn gives, in one transaction: nobody writes between the look
// and the writing, so that of two changes to one definition none is lost. Like that of a View, fn should take what it
// needs and return.
func (b *Book) Update(fn func(v *View) ([]Record, error)) ([]ID, error) {
	var o outside
	ids, err := b.appending(task{}, func(w *writer) ([]ID, bool) {
		var recs []Record
		o.call(func() (err error) {
			recs, err = fn(w.View)
			return err
		})
		return w.append(recs), len(recs) > 0
	})
	return ids, b.remember(o.end(err))
}

// Strike takes an entry out of account and appends the one that stands in its place, if there is one, in one
// transaction. It gives the ID of the successor.
func (b *Book) Strike(s Strike, successor Entry) (ID, error) {
	ids, err := b.Correct(s, Correction{s.Target, successor})
	if err != nil {
		return ID{}, err
	}
	return ids[0], nil
}

// Correction is what becomes of one line: it is struck, and another one may stand in its place.
type Correction struct {
	Old ID
	New Entry // nil: none
}

// Correct strikes entries for one reason, with the time and the name of s, and appends what stands in their places, all
// in one transaction: a test day that was noted for another tank moves as a whole or not at all. It gives the ID of
// each that stands in a place, zero where none does.
func (b *Book) Correct(s Strike, all ...Correction) ([]ID, error) {
	return b.appending(task{records: len(all)}, func(w *writer) ([]ID, bool) {
		ids := make([]ID, len(all))
		for i, c := range all {
			struck := s
			if c.New != nil {
				struck.Successor = w.append([]Record{c.New})[0]
			}
			struck.Target, ids[i] = c.Old, struck.Successor
			w.append([]Record{struck})
		}
		return ids, len(all) > 0
	})
}

// writer is the writing side of a transaction; it can look up all that a View can.
type writer struct {
	*View
	book *Book
	save Save     // what it has put into the book
	log  []Change // that were noted, once they were asked for

	comesTo *derivation // what these come to, see derivation
	noted   bool        // a change was added

	out      []outgoing // what it has put into a shared book
	sends    bool       // the book is shared
	arriving bool       // what it puts there came from the others
}

// op is one value to be put. Many of them are sorted by key first: unsorted, a bulk load is quadratic.
type op struct {
	kind  Kind
	key   seriesKey
	value []byte
}

func (w *writer) append(recs []Record) []ID {
	ids := make([]ID, len(recs))
	entries, strikes := w.appendDefinitions(recs)
	ops := make([]op, 0, len(entries))
	taken := map[ID]bool{}
	for _, i := range entries {
		e := ofTank(recs[i], w.needTank(recs[i].(Entry).TankName())).(Entry)
		o := w.prepareNew(e, taken)
		ids[i] = o.key.id()
		ops = append(ops, o)
	}
	w.putAll(ops)
	for _, i := range strikes {
		s := recs[i].(Strike)
		if already := w.strike(s); already {
			fail(w.struckError(s.Target))
		}
		ids[i] = s.Target
	}
	return ids
}

// appendDefinitions checks all records, puts the definitions, and gives the places of the others.
func (w *writer) appendDefinitions(recs []Record) (entries, strikes []int) {
	for i, rec := range recs {
		if r, ok := rec.(*Reading); ok {
			rec = *r
			recs[i] = rec
		}
		fail(Validate(rec))
		switch rec.(type) {
		case Entry:
			entries = append(entries, i)
		case Strike:
			strikes = append(strikes, i)
		default:
			w.define(rec)
		}
	}
	return entries, strikes
}

// keepUnits refuses another unit for a parameter that has readings, struck ones included: their values are kept in the
// old one.
func (w *writer) keepUnits(old, now []Parameter) {
	for _, p := range now {
		for _, was := range old {
			if number, known := w.names.find(p.Name); p.Name == was.Name && p.Unit != was.Unit && known &&
				w.hasSubject(KindReading, number) {
				fail(fmt.Errorf("the readings of %s are kept in %s, so its unit cannot become %s; add a parameter of another name",
					p.Name, was.Unit, p.Unit))
			}
		}
	}
}

// hasSubject reports whether there are, or were before they were struck, entries of a kind about a subject.
func (w *writer) hasSubject(kind Kind, subject uint32) bool {
	if slices.ContainsFunc(w.eachSeries(kind, 0), func(s series) bool { return s.subject == subject }) {
		return true
	}
	for _, s := range w.eachStruck() {
		if s.kind == kind && s.key.subject() == subject {
			return true
		}
	}
	return false
}

func putChanged(bucket *bolt.Bucket, key, value []byte) (changed bool) {
	if old, ok := unseal(key, bucket.Get(key)); ok && bytes.Equal(old, value) {
		return false
	}
	put(bucket, key, value)
	return true
}

func (w *writer) needTank(name string) string {
	if tanksBucket(w.tx).Get([]byte(name)) != nil {
		return name
	}
	return w.tank(name).Name
}

// prepareNew makes the value of an entry that must not be in the book yet. taken holds the IDs given before it in the
// same call.
func (w *writer) prepareNew(e Entry, taken map[ID]bool) op {
	content := appendContent(nil, e)
	given := !e.EntryID().IsZero()
	if !given {
		e = withID(e, deriveID(e.When().UnixMilli(), content, 0))
	}
	o := w.prepare(e)
	isThere := func() bool { return taken[o.key.id()] || w.has(o.kind, o.key) }
	if given && (isThere() || !isDerived(e, content) && w.addForeign(o)) {
		fail(&namedError{fmt.Sprintf("entry %s is in the book already", o.key.id()), ErrExists})
	}
	for repeat := 1; !given && isThere(); repeat++ {
		o.key = newSeriesKey(o.key.tank(), o.key.subject(), o.key.nanos(), deriveID(e.When().UnixMilli(), content, repeat))
	}
	taken[o.key.id()] = true
	return o
}

func (w *writer) prepare(e Entry) op {
	tank, subject := w.names.give(e.TankName()), w.names.give(subjectOf(e))
	value := appendEntry(nil, e, w.names.give)
	return op{e.Kind(), newSeriesKey(tank, subject, e.When().UnixNano(), e.EntryID()), value}
}

// has reports whether an entry is in the book under its own key, or was struck.
func (w *writer) has(kind Kind, key seriesKey) bool {
	id := key.id()
	return w.get(string(kind), key[:]) != nil || w.get("struck", id[:]) != nil
}

// addForeign notes where an entry lies whose ID says nothing about it; there is true if the ID is in the book already.
func (w *writer) addForeign(o op) (there bool) {
	id := o.key.id()
	if w.get("foreign", id[:]) != nil || w.get("struck", id[:]) != nil {
		return true
	}
	put(foreignBucket(w.tx), id[:], appendAddress(nil, o.kind, o.key))
	return false
}

func (w *writer) putAll(ops []op) {
	slices.SortFunc(ops, func(a, b op) int {
		return cmp.Or(cmp.Compare(kindNumber(a.kind), kindNumber(b.kind)), bytes.Compare(a.key[:], b.key[:]))
	})
	for _, o := range ops {
		bucket := entryBucket(w.tx, o.kind)
		if len(ops) > manyRecords {
			bucket.FillPercent = bulkFill
		}
		put(bucket, o.key[:], o.value)
		w.save.add(&w.save.Noted, o.key.id())
		w.toSend(o.key.id(), nil)
	}
}

// bulkFill is how full a sorted load makes the pages.
const bulkFill = 0.9

// strike moves an entry from its series to the struck bucket.
func (w *writer) strike(s Strike) (already bool) {
	if w.get("struck", s.Target[:]) != nil {
		return true
	}
	kind, key := w.locate(s.Target)
	w.needSuccessor(s)
	sealed := bytes.Clone(w.get(string(kind), key[:]))
	mustUnseal(key[:], sealed, "entry %s cannot be read", s.Target)
	put(struckBucket(w.tx), s.Target[:], appendStruck(struckValue{kind, key, sealed, s}))
	remove(foreignBucket(w.tx), s.Target[:])
	remove(entryBucket(w.tx, kind), key[:])
	w.save.add(&w.save.Struck, s.Target)
	w.toSend(ID{}, s)
	return false
}

func (w *writer) needSuccessor(s Strike) {
	if next := s.Successor; !next.IsZero() && w.get("struck", next[:]) == nil {
		if _, _, found := w.find(next); !found {
			fail(fmt.Errorf("the successor: %w", noEntry(next)))
		}
	}
}
