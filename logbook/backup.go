package logbook

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"

	bolt "go.etcd.io/bbolt"
)

// Backup writes a copy of the book to path while others may go on reading it. The copy appears only once it is whole,
// on the disk, and was read through. ErrExists if something stands at path.
func (b *Book) Backup(path string) error {
	leave, err := b.enter(1)
	if err != nil {
		return err
	}
	defer leave()
	return b.backup(path)
}

func (b *Book) backup(path string) error {
	if _, err := os.Lstat(follow(path)); err == nil {
		return alreadyThere(path)
	}
	part, err := b.copyFor(path)
	if err != nil {
		return err
	}
	defer part.Drop()
	return explain(path, part.Finish(false))
}

// Restore puts the book at from in the place of the one at to, or of the one that to is a link to. The copy is made
// and read through first, and there is a book at to at every moment. What stood there is kept beside it, under a name
// that ends in ".replaced" or a number behind it; kept is its path, or "" where there was nothing.
func Restore(from, to string) (kept string, err error) {
	part, err := newBook(from).copyFor(to)
	if err != nil {
		return "", ofOther(from, err)
	}
	defer part.Drop()
	if _, err := os.Lstat(part.path); err != nil {
		return "", explain(to, part.Finish(false))
	}
	kept, err = replace(part, os.Link)
	return kept, explain(to, err)
}

// replace swaps a book for another. It holds the old one's lock meanwhile, so that nobody's writing is lost; a book so
// damaged that it cannot be opened has no writers. link is os.Link.
func replace(part *Part, link func(old, new string) error) (kept string, err error) {
	path := part.path
	old, err := newBook(path).open(true, 0)
	switch {
	case err == nil && runtime.GOOS == "windows": // which renames no file that is open
		old.close()
	case err == nil:
		defer old.close()
	case errors.Is(err, ErrBusy):
		return "", err
	}
	kept = freeName(path + ".replaced")
	if link(path, kept) != nil { // a file system without links
		if err := copyFile(path, kept); err != nil {
			return "", fmt.Errorf("what stands there could not be copied to %s, and nothing was changed: %w", kept, err)
		}
	}
	return kept, part.Finish(true)
}

func copyFile(from, to string) error {
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close()
	part, err := NewPart(to)
	if err != nil {
		return err
	}
	defer part.Drop()
	if _, err := io.Copy(part, f); err != nil {
		return err
	}
	return part.Finish(false)
}

// copyFor makes a checked copy of the book, to become the file at path.
func (b *Book) copyFor(path string) (part *Part, err error) {
	err = b.session(false, func(s *session) {
		fail(s.checkPages(false).err()) // a copy mends what is wrong with its heads
		if err := checkSchema(s.tx); !errors.Is(err, errOlder) {
			fail(err)
		}
		var err error
		if part, err = NewPart(path); errors.Is(err, fs.ErrNotExist) {
			fail(&bookError{path, fmt.Errorf("%w: there is no such folder", ErrNotFound), ""})
		}
		fail(explain(path, err))
		fail(explain(path, writeCopy(s.tx, part.File)))
	})
	if err == nil {
		made := newBook(part.Name())
		made.passes.Store(true) // nobody else knows of it
		if _, err = made.walkFile(true); err != nil {
			err = fmt.Errorf("the copy of %s was read through and is not sound: %w", b.path, err)
		}
	}
	if err != nil && part != nil {
		part.Drop()
	}
	return part, b.explain(err)
}

// writeCopy writes the book to a file, and that to the disk: where it is full it shows here.
func writeCopy(tx *bolt.Tx, f *os.File) error {
	w := failureRecorder{Writer: f}
	_, err := tx.WriteTo(&w)
	if w.err != nil {
		err = w.err
	}
	if err == nil {
		err = f.Sync()
	}
	if err != nil {
		return unwritten{err}
	}
	return nil
}

// failureRecorder keeps the error of a writer, of which bbolt keeps the words alone.
type failureRecorder struct {
	io.Writer
	err error
}

func (w *failureRecorder) Write(b []byte) (int, error) {
	n, err := w.Writer.Write(b)
	if err != nil {
		w.err = err
	}
	return n, err
}

// BackupBeside is Backup under a free name beside the book, which says what comes after it.
func (b *Book) BackupBeside(before string) (path string, err error) {
	path = freeName(b.path + ".before-" + before)
	return path, b.Backup(path)
}

// freeName is name, or name with the first number from 2 that is not taken.
func freeName(name string) string {
	free := name
	for n := 2; ; n++ {
		if _, err := os.Lstat(free); err != nil {
			return free
		}
		free = fmt.Sprintf("%s-%d", name, n)
	}
}
