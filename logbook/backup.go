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
	if _, err := os.Lstat(path); err == nil {
		return alreadyThere(path)
	}
	temporary, err := b.copyBeside(path)
	if err != nil {
		return err
	}
	defer os.Remove(temporary)
	return explain(path, appear(temporary, path))
}

// Restore puts the book at from in the place of the one at to. The copy is made and read through first; what stood at
// to is kept beside it, under a name that ends in ".replaced".
func Restore(from, to string) error {
	temporary, err := newBook(from).copyBeside(to)
	if err != nil {
		return ofOther(from, err)
	}
	defer os.Remove(temporary)
	if _, err := os.Lstat(to); err != nil {
		return explain(to, appear(temporary, to))
	}
	return explain(to, replace(temporary, to))
}

// replace swaps a book for another. It holds the old one's lock meanwhile, so that nobody's writing is lost; a book so
// damaged that it cannot be opened has no writers.
func replace(temporary, path string) error {
	old, err := newBook(path).open(true, 0)
	switch {
	case err == nil && runtime.GOOS == "windows": // which renames no file that is open
		old.close()
	case err == nil:
		defer old.close()
	case errors.Is(err, ErrBusy):
		return err
	}
	kept := freeName(path + ".replaced")
	if err := os.Link(path, kept); err != nil { // a file system without links
		if err := os.Rename(path, kept); err != nil {
			return err
		}
	}
	if err := os.Rename(temporary, path); err != nil {
		return err
	}
	return syncFolder(path)
}

// copyBeside makes a checked copy of the book in the folder of path.
func (b *Book) copyBeside(path string) (temporary string, err error) {
	s, err := b.open(false, 0)
	if err != nil {
		return "", err
	}
	err = guarded(func() error {
		if err := checkSchema(s.tx); err != nil && !errors.Is(err, errOlder) {
			return err
		}
		temporary, err = temporaryBeside(path)
		if errors.Is(err, fs.ErrNotExist) {
			return &bookError{path, fmt.Errorf("%w: there is no such folder", ErrNotFound), ""}
		}
		if err != nil {
			return explain(path, err)
		}
		return explain(path, writeCopy(s.tx, temporary))
	})
	if closed := s.close(); err == nil {
		err = closed
	}
	if err == nil {
		if _, err = walkFile(temporary, true); err != nil {
			err = fmt.Errorf("the copy of %s was read through and is not sound: %w", b.path, err)
		}
	}
	if err != nil && temporary != "" {
		os.Remove(temporary)
	}
	return temporary, b.explain(err)
}

func writeCopy(tx *bolt.Tx, path string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	w := failureKeeper{Writer: f}
	_, err = tx.WriteTo(&w)
	if w.err != nil {
		err = w.err
	}
	if err == nil {
		err = f.Sync()
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	return err
}

// failureKeeper keeps the error of a writer, of which bbolt keeps the words alone.
type failureKeeper struct {
	io.Writer
	err error
}

func (w *failureKeeper) Write(b []byte) (int, error) {
	n, err := w.Writer.Write(b)
	if err != nil {
		w.err = err
	}
	return n, err
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
