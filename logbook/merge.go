package logbook

import (
	"bytes"
	"errors"
	"fmt"
	"iter"
	"os"
	"path/filepath"
)

// Merged says what a merge did, or would do.
type Merged struct {
	Imported
	Records int    // of the other book
	Twins   []Twin // readings that may be one test noted twice; both are kept
}

// Merge takes into the book all that the book at other holds and it does not, in one transaction, all or nothing; other
// is only read. It is the union of two logs: two books that went apart from one copy, and any two others, become the
// same whichever is merged into which, and in whatever order several are:
//
//   - An entry is its ID, and an ID comes from what the entry says: a line that was typed or imported on both computers
//     is one line, two that differ in a single character are two. Two different entries of one ID are refused.
//   - What is struck in either book is struck. Of two strikes of one line the one that names a successor is kept, then
//     the earlier.
//   - A change of a definition is one likewise. What holds is derived from the changes of both, see derive.go.
//
// Drafts are left alone.
func (b *Book) Merge(other string) (Merged, error) { return b.merge(other, true) }

// TryMerge says what Merge would do, and changes nothing.
func (b *Book) TryMerge(other string) (Merged, error) { return b.merge(other, false) }

func (b *Book) merge(other string, keep bool) (done Merged, err error) {
	t := task{walk: true, tries: !keep}
	if theirs, err := os.Stat(other); err == nil {
		if ours, err := os.Stat(b.path); err == nil && os.SameFile(ours, theirs) {
			return done, fmt.Errorf("%s: it is the book in use itself", other)
		}
		t.records = int(theirs.Size() / 100) // about as many bytes as a reading takes
	}
	var bt Batch
	take := func(w *writer, theirs *View) bool {
		m := merger{importer: importer{writer: w, batch: &bt, ofLog: true, done: Imported{ByKind: map[Kind]int{}}},
			theirs: theirs}
		m.sameUnits()
		m.definitions()
		m.sameIDs()
		m.findTwins()
		m.readings()
		m.entries()
		m.strikes()
		done = Merged{m.done, bt.Len(), m.twins}
		return keep && done.Added > 0
	}
	// Both books are locked meanwhile, in the order of their paths: two merges in opposite directions wait for one
	// another.
	from := newBook(other)
	if WholePath(b.path) < WholePath(other) {
		from.passes.Store(true)
		var failed error // in reading the other book or in taking it in
		err = b.update(t, func(w *writer) (kept bool) {
			failed = attempt(func() {
				fail(from.View(func(theirs *View) error {
					err := theirs.EachRecord(bt.Add)
					if err == nil {
						kept = take(w, theirs)
					}
					return err
				}))
			})
			return kept && failed == nil
		})
		if err == nil {
			err = b.explain(failed)
		}
	} else {
		b.passes.Store(true)
		defer b.passes.Store(false)
		err = from.View(func(theirs *View) error {
			if err := theirs.EachRecord(bt.Add); err != nil {
				return err
			}
			return b.update(t, func(w *writer) bool { return take(w, theirs) })
		})
	}
	if errors.Is(err, errOlder) {
		err = &bookError{other, err,
			"open it once with this program, which brings it up to date: leadline --book FILE status"}
	}
	if err != nil {
		return Merged{}, ofOther(other, err)
	}
	return done, nil
}

// WholePath is the one path of a file that has several, by links or by the folder it is named from.
func WholePath(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	if whole, err := filepath.Abs(path); err == nil {
		path = whole
	}
	return path
}

// merger is an import of a whole book.
type merger struct {
	importer
	theirs *View
	twins  []Twin
}

// sameUnits refuses books that keep a parameter in different units: their values cannot stand in one series.
func (m *merger) sameUnits() {
	ours := m.parameters()
	for _, p := range m.theirs.parameters() {
		for _, q := range ours {
			if p.Name == q.Name && p.Unit != q.Unit {
				fail(fmt.Errorf("%s: it keeps %s in %s and the book in use keeps it in %s, so their values cannot stand in one "+
					"series",
					m.theirs.path, p.Name, p.Unit, q.Unit))
			}
		}
	}
}

// sameIDs refuses two books that have different entries under one ID. Only IDs that were given from elsewhere can say
// two things, so each book is asked for those of the other.
func (m *merger) sameIDs() {
	for e := range m.theirs.eachForeign() {
		m.sameEntry(m.View, e)
	}
	for e := range m.eachForeign() {
		m.sameEntry(m.theirs, e)
	}
}

func (m *merger) sameEntry(v *View, e Entry) {
	kept := v.kept(e.EntryID())
	content := func(e Entry) []byte { return appendContent(nil, ofTank(e, m.present(e.TankName())).(Entry)) }
	if kept == nil || bytes.Equal(content(e), content(kept)) {
		return
	}
	ours, theirs := lineOf(kept), lineOf(e)
	if v == m.theirs {
		ours, theirs = theirs, ours
	}
	fail(fmt.Errorf("the two books have different entries under the id %s: here %s and in %s %s", e.EntryID(), ours,
		m.theirs.path, theirs))
}

// kept gives the entry of an ID, live or struck; nil if there is none.
func (v *View) kept(id ID) Entry {
	if v.get("struck", id[:]) != nil {
		s := v.struck(id)
		return v.entry(s.kind, s.key[:], s.sealed)
	}
	if kind, key, found := v.find(id); found {
		return v.entryAt(kind, key)
	}
	return nil
}

// eachForeign goes through the entries whose IDs are not derived from what they say, the struck ones included.
func (v *View) eachForeign() iter.Seq[Entry] {
	return func(yield func(Entry) bool) {
		c := v.cursor("foreign")
		for k, _ := c.First(); k != nil; k, _ = c.Next() {
			if len(k) != len(ID{}) {
				fail(damaged("an id has %d bytes", len(k)))
			}
			e := v.kept(ID(k))
			if e == nil {
				fail(damaged("entry %s is not where it should be", ID(k)))
			}
			if !yield(e) {
				return
			}
		}
		for e := range v.eachStruck() {
			if !isDerived(e, appendContent(nil, e)) && !yield(e) {
				return
			}
		}
	}
}

// lineOf is a record as an export writes it.
func lineOf(rec Record) string { return string(RecordJSON(rec)) }

// standsBefore says which of two strikes of an entry is kept: the one with a successor, the earlier, and then the one
// whose bytes come first. It is an order, so that what is kept of many does not depend on which met which.
func standsBefore(a, b Strike) bool {
	switch {
	case a.Successor.IsZero() != b.Successor.IsZero():
		return b.Successor.IsZero()
	case !a.Time.Equal(b.Time):
		return a.Time.Before(b.Time)
	}
	return bytes.Compare(strikeBytes(a), strikeBytes(b)) < 0
}

func strikeBytes(s Strike) []byte { return appendStruck(struckValue{strike: s}) }

// definitionName says which definition it is, in words.
func definitionName(rec Record) string {
	var w valueWriter
	rec.fields(&w)
	name := string(rec.Kind()) + " " + w.names[onlyKey] + w.names[secondKey]
	switch _, of := rec.(tanked); {
	case of:
		return name + " of tank " + w.names[firstKey]
	case w.names[firstKey] != "":
		return name + " for " + w.names[firstKey]
	}
	return name
}
