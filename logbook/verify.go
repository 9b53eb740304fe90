package logbook

import (
	"bytes"
	"errors"
	"fmt"

	bolt "go.etcd.io/bbolt"
)

// Findings is what Verify found.
type Findings struct {
	Schema   int
	Bytes    int64
	Counts   Counts
	Problems []string // in plain words; none: every record can be read and every checksum fits
}

const mostProblems = 20

// Verify reads the whole book and checks every checksum, every record and every reference. It changes nothing. An
// error means that it could not look; what it found is in the Findings.
func Verify(path string) (Findings, error) {
	b := newBook(path)
	var f Findings
	s, err := b.open(false, 0)
	if err != nil {
		return f, err
	}
	v := b.view(s, nil)
	w := walker{View: v, most: mostProblems}
	err = guarded(func() {
		f.Bytes = s.tx.Size()
		pages := s.checkPages(true)
		if w.problems = pages.problems; pages.err() != nil {
			fail(pages.failed)
			return // a page that leads back to itself would be walked for ever
		}
		fail(checkSchema(s.tx))
		f.Schema = schema
		w.problems = pages.wrong
		w.walk()
		f.Counts, err = v.Count()
		fail(err)
	})
	f.Problems = w.problems
	closed := s.close()
	damaged := errors.Is(err, ErrDamaged)
	if damaged {
		f.Problems = append(f.Problems, err.Error())
	}
	switch {
	case damaged, err == nil && len(f.Problems) > 0:
		err = readThrough(path) // what the disk does not give is no damage of the book
	case err == nil:
		err = closed
	}
	return f, b.explain(err)
}

// walkFile reads a whole book through, as Verify does, and fails with the first thing that is wrong; but a large one
// only if that is asked for. It takes a book of an older layout as well, of which it checks only the checksums.
func (b *Book) walkFile(large bool) (walked bool, err error) {
	err = b.session(false, func(s *session) {
		if walked = s.isSmall() || large; !walked {
			return
		}
		w := walker{View: b.view(s, nil), most: 1}
		look := b.look
		if large {
			look = func(s *session) (*pageCheck, error) { return s.check(true) }
		}
		if _, err := look(s); errors.Is(err, errOlder) {
			w.walkSeals()
		} else {
			fail(err)
			w.walk()
		}
		fail(damage(w.problems))
	})
	return walked, b.explain(err)
}

type walker struct {
	*View
	problems []string
	most     int // problems to gather
}

func (w *walker) full() bool { return len(w.problems) >= w.most }

func (w *walker) report(format string, args ...any) {
	if !w.full() {
		w.problems = append(w.problems, fmt.Sprintf(format, args...))
	}
}

// walk checks every bucket in the light of what it holds.
func (w *walker) walk() {
	w.walkSealed("names", "name", func(k, value []byte) error {
		if number, ok := unseal(value, numbersBucket(w.tx).Get(value)); !ok || !bytes.Equal(number, k) {
			return fmt.Errorf("the number of %q is another", value)
		}
		return nil
	})
	w.walkSealed("numbers", "number of", func(k, value []byte) error {
		if name, ok := unseal(value, namesBucket(w.tx).Get(value)); !ok || !bytes.Equal(name, k) {
			return errors.New("the name of that number is another")
		}
		return nil
	})
	for _, d := range definitions() {
		w.attempt(string(d.Kind())+"s", func() { w.definitionsOf(d.Kind(), "") })
	}
	w.walkSealed(changesName, "change", func(k, value []byte) error {
		c, err := readChange(k, value)
		if err == nil && !c.isGenuine() {
			err = errors.New("it is not what its key says")
		}
		return err
	})
	w.walkSealed("drafts", "draft of", func(k, value []byte) error {
		_, err := readDraft(string(k), value)
		return err
	})
	w.attempt(savesName, func() { w.saves() })
	w.attempt(sharedName, func() { w.shared() })
	w.attempt(outboxName, func() {
		_, _, err := w.Unsent(1 << 30)
		fail(err)
	})
	for _, kind := range EntryKinds() {
		w.attempt(string(kind), func() {
			c := w.entryCursor(kind)
			for k, sealed := c.First(); k != nil && !w.full(); k, sealed = c.Next() {
				w.attempt(string(kind), func() { w.checkEntry(kind, k, sealed) })
			}
		})
	}
	w.attempt("struck", func() {
		for range w.eachStruck() {
		}
	})
	w.walkSealed("foreign", "place of", func(k, value []byte) error {
		r := fieldReader{b: value}
		kind, key := readAddress(&r)
		if r.err == nil && entryBucket(w.tx, kind).Get(key[:]) == nil {
			return errors.New("nothing lies there")
		}
		return r.err
	})
}

// attempt goes on to the next bucket where one cannot be read.
func (w *walker) attempt(bucket string, fn func()) {
	if err := attempt(fn); err != nil {
		w.report("%s: %v", bucket, err)
	}
}

func (w *walker) walkSealed(bucket, what string, fn func(k, value []byte) error) {
	w.attempt(bucket, func() { eachSealed(w.tx.Bucket([]byte(bucket)), what, fn) })
}

// checkEntry checks the checksum of an entry, and that what its numbers name is there. Readings are not made whole:
// there may be a million.
func (w *walker) checkEntry(kind Kind, k, sealed []byte) {
	if kind != KindReading {
		w.entry(kind, k, sealed)
		return
	}
	key, value := unsealEntry(kind, k, sealed)
	r, err := readReading(value)
	fail(err)
	for _, number := range []uint32{key.tank(), key.subject(), r.unit, r.method, r.who} {
		w.names.name(number)
	}
}

func (w *walker) walkSeals() {
	err := attempt(func() {
		fail(w.tx.ForEach(func(name []byte, bucket *bolt.Bucket) error {
			eachSealed(bucket, "entry of "+string(name), func(k, value []byte) error { return nil })
			return nil
		}))
	})
	if err != nil {
		w.report("%v", err)
	}
}

// Every look at a book begins with one at its pages (pages.go). A book is checked further before the first writing of
// a run, because a write onto damage often seems to succeed and buries what could have been saved. What is checked
// depends on the size, since `status` and `add` must stay quick:
//
//   - always: the file is as long as its pages say, its layout is known, its buckets are there, its pages fit
//     together; of the leaves of large buckets those that are read or written, with every checksum in them;
//   - up to smallBook bytes, and before an import of any size: all leaves, and that they hold what the last writing
//     left; and before a writing the whole book is read through, every checksum included.
//
// A book that failed once is not written to again in this run, unless the file has changed since.
const smallBook = 4 << 20

func (b *Book) fit(walk bool) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.failed != nil {
		if now, err := b.Stamp(); err == nil && now == b.at {
			return b.failed
		}
		b.failed, b.checked = nil, false
	}
	if b.checked {
		return nil
	}
	walked, err := b.walkFile(walk)
	b.checked = walked && err == nil
	b.noteFailure(err)
	return err
}

// remember keeps in mind that the book turned out to be damaged.
func (b *Book) remember(err error) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.noteFailure(err)
	return err
}

func (b *Book) noteFailure(err error) {
	if errors.Is(err, ErrDamaged) {
		b.failed = err
		b.at, _ = b.Stamp()
	}
}
