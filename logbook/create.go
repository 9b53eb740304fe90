package logbook

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"
	"time"

	bolt "go.etcd.io/bbolt"
)

// looks is how often it is looked again whether something lies beside the place of a book: one that others begin at
// this moment looks like one that was broken off.
const looks = 10

// Create makes a new, empty book: a file of mode 0600, in a folder that is made with mode 0700 if it is not there.
// The file appears whole or not at all. ErrExists if something stands at path, and ErrNotFound if the book that stood
// there may be got back from what lies beside it.
func Create(path string) (*Book, error) {
	for look := 0; ; look++ {
		if _, err := os.Lstat(path); err == nil {
			return nil, alreadyThere(path)
		}
		if len(leftBeside(path)) == 0 {
			break
		}
		if look == looks {
			return nil, missing(path)
		}
		time.Sleep(20 * time.Millisecond)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, explain(path, err)
	}
	for {
		part, err := NewPart(path)
		if err != nil {
			return nil, explain(path, err)
		}
		unlock(part.File) // the store takes a lock of its own
		err = guarded(func() { fail(writeEmptyBook(part.Name())) })
		if err == nil {
			err = part.Finish(false)
		}
		part.Drop()
		if errors.Is(err, fs.ErrNotExist) {
			continue // without the lock it was taken for one that was left
		}
		if err != nil {
			return nil, explain(path, err)
		}
		return newBook(path), nil
	}
}

// Open gives the book at path. One of an older layout is brought up to date, after a copy of it was put beside it; one
// of a newer layout is refused with ErrNewer.
func Open(path string) (*Book, error) {
	b := newBook(path)
	err := b.session(false, func(s *session) {
		_, err := b.look(s)
		fail(err)
	})
	if errors.Is(err, errOlder) {
		err = b.migrate(migrations(), schema)
	}
	if err != nil {
		return nil, b.explain(err)
	}
	removeParts(follow(path))
	return b, nil
}

// OpenOrCreate opens the book at path, and creates it first if nothing is there.
func OpenOrCreate(path string) (*Book, error) {
	b, err := Create(path)
	if errors.Is(err, ErrExists) {
		return Open(path)
	}
	return b, err
}

func alreadyThere(path string) error {
	return &bookError{path, ErrExists, "nothing was changed; name another file"}
}

func writeEmptyBook(path string) (err error) {
	db, err := bolt.Open(path, 0o600, &bolt.Options{Timeout: wait, NoStatistics: true})
	if err != nil {
		return err
	}
	defer func() {
		if closed := db.Close(); err == nil {
			err = closed
		}
	}()
	return db.Update(func(tx *bolt.Tx) error {
		for _, name := range bucketNames() {
			if _, err := tx.CreateBucket([]byte(name)); err != nil {
				return err
			}
		}
		program := "leadline" // with its version, as far as the build knows it
		if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
			program += " " + info.Main.Version
		}
		put(metaBucket(tx), []byte("created_by"), []byte(program))
		putSchema(tx, schema)
		return nil
	})
}

func putSchema(tx *bolt.Tx, number int) {
	var w fieldWriter
	w.uint(uint64(number))
	put(metaBucket(tx), []byte("schema"), w.b)
}

func readSchema(tx *bolt.Tx) (int, error) {
	meta := metaBucket(tx)
	if meta == nil {
		return 0, fmt.Errorf("%w: it is a file of another kind", ErrNotBook)
	}
	key := []byte("schema")
	value, ok := unseal(key, meta.Get(key))
	if !ok {
		return 0, damaged("the number of its layout cannot be read")
	}
	r := fieldReader{b: value}
	return int(r.uint()), nil
}

var errOlder = errors.New("the book is of an older version")

func checkSchema(tx *bolt.Tx) error {
	number, err := readSchema(tx)
	switch {
	case err != nil:
		return err
	case number > schema:
		return fmt.Errorf("%w: its layout is number %d and this program knows those up to %d", ErrNewer, number, schema)
	case number < schema:
		return fmt.Errorf("%w: its layout is number %d", errOlder, number)
	}
	for _, name := range bucketNames() {
		if tx.Bucket([]byte(name)) == nil {
			return damaged("the bucket %q is missing", name)
		}
	}
	return nil
}
