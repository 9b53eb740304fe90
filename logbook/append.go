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
	return b.appending(task{records: len(recs)}, func(w *writer) ([]ID, bool, error) {
		ids, err := w.append(recs)
		return ids, true, err
	})
}

// appending is update for what gives the IDs of what it appends.
func (b *Book) appending(t task, fn func(w *writer) (ids []ID, keep bool, err error)) (ids []ID, err error) {
	err = b.update(t, func(w *writer) (keep bool, err error) {
		ids, keep, err = fn(w)
		return keep, err
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
	ids, err := b.appending(task{}, func(w *writer) (ids []ID, keep bool, err error) {
		var recs []Record
		err = o.call(func() (err error) {
			recs, err = fn(w.View)
			return err
		})
		if err == nil {
			ids, err = w.append(recs)
		}
		return ids, len(recs) > 0, err
	})
	o.raise()
	if o.failed != nil {
		return nil, b.remember(o.failed)
	}
	return ids, err
}

// Strike takes an entry out of account and appends the one that stands in its place, if there is one, in one
// transaction. It gives the ID of the successor.
func (b *Book) Strike(s Strike, successor Entry) (ID, error) {
	err := b.update(task{}, func(w *writer) (bool, error) {
		if successor != nil {
			ids, err := w.append([]Record{successor})
			if err != nil {
				return false, err
			}
			s.Successor = ids[0]
		}
		_, err := w.append([]Record{s})
		return true, err
	})
	if err != nil {
		return ID{}, err
	}
	return s.Successor, nil
}

// writer is the writing side of a transaction; it can look up all that a View can.
type writer struct{ *View }

// op is one value to be put. Many of them are sorted by key first: unsorted, a bulk load is quadratic.
type op struct {
	kind  Kind
	key   seriesKey
	value []byte
}

func (w *writer) append(recs []Record) ([]ID, error) {
	ids := make([]ID, len(recs))
	entries, strikes, err := w.appendDefinitions(recs)
	if err != nil {
		return nil, err
	}
	ops := make([]op, 0, len(entries))
	taken := map[ID]bool{}
	for _, i := range entries {
		e := recs[i].(Entry)
		if err := w.needTank(e.TankName()); err != nil {
			return nil, err
		}
		o, err := w.prepareNew(e, taken)
		if err != nil {
			return nil, err
		}
		ids[i] = o.key.id()
		ops = append(ops, o)
	}
	if err := w.putAll(ops); err != nil {
		return nil, err
	}
	for _, i := range strikes {
		s := recs[i].(Strike)
		if err := w.strikeOnce(s); err != nil {
			return nil, err
		}
		ids[i] = s.Target
	}
	return ids, nil
}

// appendDefinitions checks all records, puts the definitions, and gives the places of the others.
func (w *writer) appendDefinitions(recs []Record) (entries, strikes []int, err error) {
	for i, rec := range recs {
		if r, ok := rec.(*Reading); ok {
			rec = *r
			recs[i] = rec
		}
		if err := Validate(rec); err != nil {
			return nil, nil, err
		}
		switch rec.(type) {
		case Entry:
			entries = append(entries, i)
		case Strike:
			strikes = append(strikes, i)
		default:
			if _, err := w.define(rec); err != nil {
				return nil, nil, err
			}
		}
	}
	return entries, strikes, nil
}

// define puts a definition; changed is false if the book has the very same.
func (w *writer) define(rec Record) (changed bool, err error) {
	switch d := rec.(type) {
	case Parameter:
		err = w.keepUnit(d)
	case tanked:
		err = w.needTank(d.TankName())
	}
	if err != nil {
		return false, err
	}
	key, value := appendDefinition(rec)
	return w.putChanged(definitionBucket(w.tx, rec.Kind()), key, value)
}

// keepUnit refuses another unit for a parameter that has readings, struck ones included: their values are kept in the
// old one.
func (w *writer) keepUnit(p Parameter) error {
	all, err := w.parameters()
	if err != nil {
		return err
	}
	i := slices.IndexFunc(all, func(old Parameter) bool { return old.Name == p.Name && old.Unit != p.Unit })
	if i < 0 {
		return nil
	}
	number, known, err := w.names.find(p.Name)
	if err != nil || !known {
		return err
	}
	if used, err := w.hasSubject(KindReading, number); err != nil || !used {
		return err
	}
	return fmt.Errorf("the readings of %s are kept in %s, so its unit cannot become %s; add a parameter of another name", p.Name, all[i].Unit, p.Unit)
}

// hasSubject reports whether there are, or were before they were struck, entries of a kind about a subject.
func (w *writer) hasSubject(kind Kind, subject uint32) (bool, error) {
	live, err := w.eachSeries(kind, 0)
	if err != nil || slices.ContainsFunc(live, func(s series) bool { return s.subject == subject }) {
		return err == nil, err
	}
	c := w.cursor("struck")
	for k, sealed := c.First(); k != nil; k, sealed = c.Next() {
		s, err := w.struck(ID(k), sealed)
		if err != nil || s.kind == kind && s.key.subject() == subject {
			return err == nil, err
		}
	}
	return false, nil
}

func (w *writer) putChanged(bucket *bolt.Bucket, key, value []byte) (changed bool, err error) {
	if old, ok := unseal(key, bucket.Get(key)); ok && bytes.Equal(old, value) {
		return false, nil
	}
	return true, put(bucket, key, value)
}

func (w *writer) hasTank(name string) bool { return tanksBucket(w.tx).Get([]byte(name)) != nil }

func (w *writer) needTank(name string) error {
	if w.hasTank(name) {
		return nil
	}
	return w.noTank(name)
}

// prepareNew makes the value of an entry that must not be in the book yet. taken holds the IDs given before it in the
// same call.
func (w *writer) prepareNew(e Entry, taken map[ID]bool) (op, error) {
	content := appendContent(nil, e)
	given := !e.EntryID().IsZero()
	if !given {
		e = withID(e, deriveID(e.When().UnixMilli(), content, 0))
	}
	o, err := w.prepare(e)
	if err != nil {
		return op{}, err
	}
	isThere := func() (bool, error) {
		if taken[o.key.id()] {
			return true, nil
		}
		return w.has(o.kind, o.key)
	}
	if given {
		there, err := isThere()
		if err == nil && !there && !isDerived(e, content) {
			there, err = w.addForeign(o)
		}
		if there {
			err = &alreadyError{o.key.id()}
		}
		taken[o.key.id()] = true
		return o, err
	}
	for repeat := 1; ; repeat++ {
		there, err := isThere()
		if err != nil {
			return op{}, err
		}
		if !there {
			taken[o.key.id()] = true
			return o, nil
		}
		o.key = newSeriesKey(o.key.tank(), o.key.subject(), o.key.nanos(), deriveID(e.When().UnixMilli(), content, repeat))
	}
}

// alreadyError says that an entry that came with its ID is in the book; errors.Is it ErrExists.
type alreadyError struct{ id ID }

func (e *alreadyError) Error() string        { return fmt.Sprintf("entry %s is in the book already", e.id) }
func (e *alreadyError) Is(target error) bool { return target == ErrExists }

// prepare makes the key and value of an entry that has its ID.
func (w *writer) prepare(e Entry) (op, error) {
	tank, err := w.names.give(e.TankName())
	if err != nil {
		return op{}, err
	}
	subject, err := w.names.give(subjectOf(e))
	if err != nil {
		return op{}, err
	}
	value, err := appendEntry(nil, e, w.names.give)
	return op{e.Kind(), newSeriesKey(tank, subject, e.When().UnixNano(), e.EntryID()), value}, err
}

// has reports whether an entry is in the book under its own key, or was struck.
func (w *writer) has(kind Kind, key seriesKey) (bool, error) {
	if w.get(string(kind), key[:]) != nil {
		return true, nil
	}
	id := key.id()
	return w.get("struck", id[:]) != nil, nil
}

// addForeign notes where an entry lies whose ID says nothing about it; there is true if the ID is in the book already.
func (w *writer) addForeign(o op) (there bool, err error) {
	id := o.key.id()
	if w.get("foreign", id[:]) != nil || w.get("struck", id[:]) != nil {
		return true, nil
	}
	return false, put(foreignBucket(w.tx), id[:], appendAddress(nil, o.kind, o.key))
}

// putAll puts entries in the order of their keys.
func (w *writer) putAll(ops []op) error {
	slices.SortFunc(ops, func(a, b op) int {
		return cmp.Or(cmp.Compare(kindNumber(a.kind), kindNumber(b.kind)), bytes.Compare(a.key[:], b.key[:]))
	})
	for _, o := range ops {
		bucket := entryBucket(w.tx, o.kind)
		if len(ops) > manyRecords {
			bucket.FillPercent = bulkFill
		}
		if err := put(bucket, o.key[:], o.value); err != nil {
			return err
		}
	}
	return nil
}

// bulkFill is how full a sorted load makes the pages.
const bulkFill = 0.9

// strikeOnce strikes an entry that is not struck yet.
func (w *writer) strikeOnce(s Strike) error {
	already, err := w.strike(s)
	if err == nil && already {
		return w.struckError(s.Target)
	}
	return err
}

// strike moves an entry from its series to the struck bucket.
func (w *writer) strike(s Strike) (already bool, err error) {
	if w.get("struck", s.Target[:]) != nil {
		return true, nil
	}
	kind, key, err := w.locate(s.Target)
	if err != nil {
		return false, err
	}
	if err := w.checkSuccessor(s.Successor); err != nil {
		return false, err
	}
	sealed := bytes.Clone(w.get(string(kind), key[:]))
	if _, ok := unseal(key[:], sealed); !ok {
		return false, fmt.Errorf("%w: entry %s cannot be read", ErrDamaged, s.Target)
	}
	moved := appendStruck(nil, struckValue{kind, key, sealed, s})
	if err := put(struckBucket(w.tx), s.Target[:], moved); err != nil {
		return false, err
	}
	if err := remove(foreignBucket(w.tx), s.Target[:]); err != nil {
		return false, err
	}
	return false, remove(entryBucket(w.tx, kind), key[:])
}

func (w *writer) checkSuccessor(id ID) error {
	if id.IsZero() || w.get("struck", id[:]) != nil {
		return nil
	}
	if _, _, err := w.locate(id); err != nil {
		return fmt.Errorf("the successor: %w", err)
	}
	return nil
}
