package logbook

import (
	"bytes"
	"errors"
	"fmt"

	bolt "go.etcd.io/bbolt"
)

// Findings is what Verify found.
type Findings struct {
	Schema    int
	CreatedBy string
	Bytes     int64
	Counts    Counts
	Problems  []string // in plain words; none: every record can be read and every checksum fits
}

// mostProblems is where Verify stops telling.
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
	v := &View{path: path, tx: s.tx, names: newNames(s.tx)}
	w := walker{View: v}
	err = guarded(func() error {
		f.Bytes = s.tx.Size()
		pages := s.checkPages(true)
		if w.problems = pages.problems; pages.err() != nil {
			return pages.failed // a page that leads back to itself would be walked for ever
		}
		err := checkSchema(s.tx)
		if err != nil {
			return err
		}
		f.Schema = schema
		creator := []byte("created_by")
		value, _ := unseal(creator, metaBucket(s.tx).Get(creator))
		f.CreatedBy = string(value)
		w.problems = pages.wrong
		w.walk()
		f.Counts, err = v.Count()
		return err
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
	err = b.session(false, func(s *session) error {
		if walked = s.isSmall() || large; !walked {
			return nil
		}
		w := walker{View: &View{path: b.path, tx: s.tx, names: newNames(s.tx)}, most: 1}
		look := b.look
		if large {
			look = func(s *session) (*pageCheck, error) { return s.check(true) }
		}
		if _, err := look(s); errors.Is(err, errOlder) {
			w.walkSeals()
		} else if err != nil {
			return err
		} else {
			w.walk()
		}
		if len(w.problems) > 0 {
			return fmt.Errorf("%w: %s", ErrDamaged, w.problems[0])
		}
		return nil
	})
	return walked, b.explain(err)
}

// walker goes through all there is in a book.
type walker struct {
	*View
	problems []string
	most     int // problems to gather; 0: mostProblems
}

func (w *walker) full() bool {
	most := w.most
	if most == 0 {
		most = mostProblems
	}
	return len(w.problems) >= most
}

func (w *walker) report(format string, args ...any) {
	if !w.full() {
		w.problems = append(w.problems, fmt.Sprintf(format, args...))
	}
}

// walk checks every bucket in the light of what it holds.
func (w *walker) walk() {
	w.walkNames()
	for _, d := range definitions() {
		w.attempt(string(d.Kind())+"s", func() error {
			return w.eachDefinitionOf(d.Kind(), "", func(Record) error { return nil })
		})
	}
	w.attempt("drafts", func() error {
		return eachSealed(draftsBucket(w.tx), "draft of", func(k, value []byte) error {
			_, err := readDraft(string(k), value)
			return err
		})
	})
	for _, kind := range entryKinds() {
		w.attempt(string(kind), func() error { return w.walkEntries(kind) })
	}
	w.attempt("struck", func() error { return w.eachStruck(func(Entry, Strike) error { return nil }) })
	w.attempt("foreign", func() error {
		return eachSealed(foreignBucket(w.tx), "place of", func(k, value []byte) error {
			r := fieldReader{b: value}
			kind, key := readAddress(&r)
			if r.err == nil && entryBucket(w.tx, kind).Get(key[:]) == nil {
				return errors.New("nothing lies there")
			}
			return r.err
		})
	})
}

// attempt goes on to the next bucket where one cannot be read.
func (w *walker) attempt(bucket string, fn func() error) {
	if err := guarded(fn); err != nil {
		w.report("%s: %v", bucket, err)
	}
}

// walkNames checks that names and numbers say the same.
func (w *walker) walkNames() {
	w.attempt("names", func() error {
		return eachSealed(namesBucket(w.tx), "name", func(k, value []byte) error {
			if number, ok := unseal(value, numbersBucket(w.tx).Get(value)); !ok || !bytes.Equal(number, k) {
				return fmt.Errorf("the number of %q is another", value)
			}
			return nil
		})
	})
	w.attempt("numbers", func() error {
		return eachSealed(numbersBucket(w.tx), "number of", func(k, value []byte) error {
			if name, ok := unseal(value, namesBucket(w.tx).Get(value)); !ok || !bytes.Equal(name, k) {
				return errors.New("the name of that number is another")
			}
			return nil
		})
	})
}

// walkEntries checks the checksum and the references of every entry of a kind, and that what its number
// names is there. Readings are not made whole: there may be a million.
func (w *walker) walkEntries(kind Kind) error {
	c := w.entryCursor(kind)
	for k, sealed := c.First(); k != nil && !w.full(); k, sealed = c.Next() {
		if err := w.checkEntry(kind, k, sealed); err != nil {
			w.report("%s: %v", kind, err)
		}
	}
	return nil
}

func (w *walker) checkEntry(kind Kind, k, sealed []byte) error {
	if kind != KindReading {
		_, err := w.entry(kind, k, sealed)
		return err
	}
	key, value, err := w.unsealEntry(kind, k, sealed)
	if err != nil {
		return err
	}
	r, err := readReading(value)
	for _, number := range []uint32{key.tank(), key.subject(), r.unit, r.method} {
		if err == nil {
			_, err = w.names.name(number)
		}
	}
	return err
}

// walkSeals checks the checksums alone.
func (w *walker) walkSeals() {
	err := w.tx.ForEach(func(name []byte, bucket *bolt.Bucket) error {
		return eachSealed(bucket, "entry of "+string(name), func(k, value []byte) error { return nil })
	})
	if err != nil {
		w.report("%v", err)
	}
}
