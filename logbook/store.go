package logbook

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"os"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	bolt "go.etcd.io/bbolt"
	bolterrors "go.etcd.io/bbolt/errors"
	"golang.org/x/sync/semaphore"
)

// wait is how long a call waits for another process that has the book open, or for the other goroutines of this one.
const wait = 10 * time.Second

// Book is a logbook file. It holds no file open: every call opens the file, acts and closes it, so that a screen left
// open hinders nobody. A Book may be used from many goroutines, and a file from many processes.
type Book struct {
	path  string
	shown map[string]string // the unit of each parameter on the screens
	now   func() time.Time  // see NotedBy
	who   func() string

	passes atomic.Bool // it does not line up for the file's lock, as this goroutine holds another one

	// Readers take one of it and a writer all, so that the goroutines of this process queue up here, in order, and do
	// not poll for the file's lock against each other.
	gate *semaphore.Weighted

	looked atomic.Pointer[soundState] // the last state that was found sound
	wrote  atomic.Bool

	backups string // the folder of KeepBackups

	mu       sync.Mutex
	uncopied error  // see BackupFailed
	checked  bool   // the book was walked in this run and was sound
	saved    []Save // the saves of this run that are not taken back
	failed   error  // what made the book unfit to be written to,
	at       Stamp  // and the state of the file then
}

const wholeGate = 1 << 20

type soundState struct {
	file  os.FileInfo
	pages *pageCheck
}

func newBook(path string) *Book {
	return &Book{path: path, gate: semaphore.NewWeighted(wholeGate)}
}

// Path is the file's path as it was given.
func (b *Book) Path() string { return b.path }

// Wrote reports whether something was written to the book by way of b.
func (b *Book) Wrote() bool { return b.wrote.Load() }

// Stamp tells two states of a book apart; compare with ==.
type Stamp struct {
	size, modified int64
	commits        [2]uint64 // transaction numbers of the two meta pages
}

// Stamp is cheap: it looks at the file and at its two meta pages, without a lock. It changes whenever anything was
// committed, and when the file was replaced by another.
func (b *Book) Stamp() (Stamp, error) {
	f, err := os.Open(b.path)
	if err != nil {
		return Stamp{}, b.explain(err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return Stamp{}, b.explain(err)
	}
	s := Stamp{size: info.Size(), modified: info.ModTime().UnixNano()}
	// A meta page begins with 16 bytes of page header; its page size stands 8 bytes on, its transaction number 48.
	var head [16 + 56]byte
	if _, err := f.ReadAt(head[:], 0); err != nil {
		return s, nil // too short for a book, which Open will say
	}
	s.commits[0] = binary.NativeEndian.Uint64(head[64:])
	if _, err := f.ReadAt(head[:], int64(binary.NativeEndian.Uint32(head[24:]))); err == nil {
		s.commits[1] = binary.NativeEndian.Uint64(head[64:])
	}
	return s, nil
}

// session is the book opened once: a file, a lock on it, and one transaction.
type session struct {
	file *os.File
	db   *bolt.DB
	tx   *bolt.Tx
	info os.FileInfo
}

// open opens the file and begins a transaction. size is the memory map's least size, for imports.
func (b *Book) open(write bool, size int) (*session, error) {
	if err := readable(b.path); err != nil {
		return nil, b.explain(err)
	}
	s := &session{}
	err := guarded(func() {
		fail(b.openOnce(s, write, size))
		for !isNamed(s.file, b.path) { // the file was replaced by another one while we waited for its lock
			fail(s.db.Close())
			fail(b.openOnce(s, write, size))
		}
		var err error
		s.tx, err = s.db.Begin(write)
		fail(err)
		s.info, err = s.file.Stat()
		fail(err)
		if s.tx.Size() > s.info.Size() { // to touch what is missing would be a fault
			fail(damaged("the file has %d bytes and should have at least %d; it was cut off", s.info.Size(), s.tx.Size()))
		}
	})
	if err != nil {
		s.close()
		if write {
			err = unwritten{err}
		}
		return nil, b.explain(err)
	}
	return s, nil
}

// session opens the book once, runs fn and closes it.
func (b *Book) session(write bool, fn func(s *session)) (err error) {
	s, err := b.open(write, 0)
	if err != nil {
		return err
	}
	defer func() {
		if closed := s.close(); err == nil {
			err = closed
		}
	}()
	return guarded(func() { fn(s) })
}

func (b *Book) openOnce(s *session, write bool, size int) (err error) {
	s.db, err = bolt.Open(b.path, 0o600, &bolt.Options{
		Timeout:         wait,
		ReadOnly:        !write,
		InitialMmapSize: size,
		NoStatistics:    true,
		OpenFile: func(path string, flag int, mode os.FileMode) (*os.File, error) {
			// Without O_CREATE: a book is made by Create alone. The file is kept so that it can be closed, and its lock
			// given back, where bbolt panics before it has returned.
			var err error
			s.file, err = os.OpenFile(path, flag&^os.O_CREATE, mode)
			if err == nil {
				err = lineUp(s.file, write, b.passes.Load())
			}
			return s.file, err
		},
	})
	if size > 0 && err == nil {
		s.db.AllocSize = 1 << 18 // by which the file grows beyond what it holds; else it would be by 16 MB
	}
	return err
}

// commit is the number of the commit that the transaction stands on.
func (s *session) commit() uint64 {
	if s.tx.Writable() {
		return uint64(s.tx.ID()) - 1 // its own number is that of the commit to come
	}
	return uint64(s.tx.ID())
}

func (s *session) checkPages(deep bool) *pageCheck {
	return checkPages(s.file, s.db.Info().PageSize, s.commit(), deep)
}

// check refuses a file whose layout is not the one of this program, and a book whose pages do not fit together, before
// anything is read that they lead to; deep looks at every leaf.
func (s *session) check(deep bool) (*pageCheck, error) {
	c := s.checkPages(deep)
	if err := c.err(); err != nil {
		return c, err
	}
	if err := checkSchema(s.tx); err != nil {
		return c, err
	}
	return c, damage(c.wrong)
}

func (s *session) isSmall() bool { return s.tx.Size() <= smallBook }

// look is check, once for each state of the book.
func (b *Book) look(s *session) (*pageCheck, error) {
	if l := b.looked.Load(); l != nil && l.pages.commit == s.commit() && os.SameFile(l.file, s.info) &&
		l.file.ModTime().Equal(s.info.ModTime()) {
		return l.pages.on(s.file, s.tx.Writable()), nil
	}
	c, err := s.check(s.isSmall())
	if err != nil {
		return nil, err
	}
	b.looked.Store(&soundState{s.info, c})
	return c.on(s.file, s.tx.Writable()), nil
}

// close ends the transaction without committing it, and closes the file. Where bbolt panics in doing so, it may hold
// locks of its own for ever; then only the lock on the file is given back, and the memory map is left behind.
func (s *session) close() error {
	err := guarded(func() {
		if s.tx != nil {
			if err := s.tx.Rollback(); !errors.Is(err, bolterrors.ErrTxClosed) {
				fail(err)
			}
		}
		if s.db != nil {
			fail(s.db.Close())
		}
	})
	if s.file != nil && (s.db == nil || errors.Is(err, ErrDamaged)) {
		unlock(s.file) // the map holds on to the file, and so to its lock
		s.file.Close()
	}
	return err
}

// View gives fn one consistent look at the book. While fn runs nobody can write to the book, so it should copy what it
// needs and return: no waiting and no drawing inside. Everything a View returns is a copy and may be kept.
func (b *Book) View(fn func(v *View) error) error {
	leave, err := b.enter(1)
	if err != nil {
		return err
	}
	defer leave()
	var o outside
	err = b.session(false, func(s *session) {
		pages, err := b.look(s)
		fail(err)
		o.call(func() error { return fn(b.view(s, pages)) })
	})
	return o.end(b.explain(err))
}

// Seen is what a look into a book finds.
func Seen[T any](b *Book, look func(v *View) (T, error)) (found T, err error) {
	err = b.View(func(v *View) (err error) {
		found, err = look(v)
		return err
	})
	return found, err
}

func (b *Book) view(s *session, pages *pageCheck) *View {
	return &View{path: b.path, tx: s.tx, names: newNames(s.tx), pages: pages, shown: b.shown}
}

// View is one consistent look at a book. It is valid only inside the function it is given to, and for one goroutine.
type View struct {
	path  string
	tx    *bolt.Tx
	names *names
	pages *pageCheck // nil: all were looked at
	shown map[string]string
}

// guarded runs one query.
func (v *View) guarded(fn func()) error { return explain(v.path, guarded(fn)) }

func ask[T any](v *View, query func() T) (answer T, err error) {
	err = v.guarded(func() { answer = query() })
	return answer, err
}

type task struct {
	records int  // how many there are to write
	walk    bool // read the whole book through before, whatever its size
	tries   bool // nothing will be kept
}

// someRecords is where a writing is large enough for a large memory map, manyRecords where it is for full pages.
const (
	someRecords = 500
	manyRecords = 20_000
)

// update runs fn in one durable transaction, all or nothing: nothing is kept if fn fails, or if it says that there is
// nothing to keep.
func (b *Book) update(t task, fn func(w *writer) (keep bool)) error {
	leave, err := b.enter(wholeGate)
	if err != nil {
		return err
	}
	defer leave()
	if err := b.fit(t.walk); err != nil {
		return err
	}
	if !t.tries {
		if err := b.backupToday(); err != nil {
			return err
		}
	}
	size := 0
	if t.records > someRecords && runtime.GOOS != "windows" { // there the file would grow to the size of the map
		size = bulkMap
	}
	s, err := b.open(true, size)
	if err != nil {
		return b.remember(err)
	}
	written, kept, saved := false, false, Save{}
	err = guarded(func() {
		pages, err := b.look(s)
		if err == nil && t.walk {
			pages, err = s.check(true)
		}
		fail(err)
		s.beginSum(pages)
		w := &writer{View: b.view(s, pages), book: b, sends: s.tx.Bucket([]byte(outboxName)) != nil}
		if fn(w) {
			w.keepOutgoing()
			kept = w.keepSave()
			saved = w.save
			stamp(s.tx)
			fail(b.commit(s.tx))
			written = true
		}
	})
	closed := s.close()
	switch {
	case written && closed != nil:
		err = unsure(closed)
	case written:
		b.wrote.Store(true)
		if kept {
			b.mu.Lock()
			b.saved = append(b.saved[max(0, len(b.saved)-mostSaves):], saved)
			b.mu.Unlock()
		}
	case err == nil:
		err = closed
	case !errors.Is(err, ErrUnsure):
		err = unwritten{err}
	}
	return b.remember(b.explain(err))
}

// commit writes a transaction. Where that fails after its head page was written, nobody knows what the disk will keep.
func (b *Book) commit(tx *bolt.Tx) error {
	number := uint64(tx.ID())
	err := tx.Commit()
	if err == nil {
		return nil
	}
	if at, looking := b.Stamp(); looking != nil || slices.Contains(at.commits[:], number) {
		return unsure(err)
	}
	return err
}

func unsure(err error) error { return fmt.Errorf("%w: %w", ErrUnsure, err) }

// bulkMap is the memory map of an import: large enough that most imports need not map the file again and again, and
// copy all that is not written yet each time.
const bulkMap = 256 << 20

// enter queues up behind the other goroutines of this process.
func (b *Book) enter(weight int64) (leave func(), err error) {
	ctx, cancel := context.WithTimeout(context.Background(), wait)
	defer cancel()
	if err := b.gate.Acquire(ctx, weight); err != nil {
		return nil, fmt.Errorf("%s: %w: another part of this program has had it open for %v", b.path, ErrBusy, wait)
	}
	return func() { b.gate.Release(weight) }, nil
}

// readable refuses what cannot be a book before bbolt sees it: it would make one of an empty file.
func readable(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	switch {
	case info.IsDir():
		return fmt.Errorf("%w: it is a directory", ErrNotBook)
	case !info.Mode().IsRegular():
		return fmt.Errorf("%w: it is no ordinary file", ErrNotBook)
	case info.Size() == 0:
		return fmt.Errorf("%w: the file is empty", ErrNotBook)
	}
	return nil
}
