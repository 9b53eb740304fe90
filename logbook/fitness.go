package logbook

import "errors"

// Every look at a book begins with a look at its branches (pages.go), which costs little: a branch that leads to the
// wrong page would show other records, or fewer, and no checksum would tell. A book is checked before the first writing of a run, because a write onto damaged pages often seems to succeed and
// buries what could have been saved. What is checked depends on the size, since `add` must stay quick:
//
//   - always: the file is as long as its pages say, its layout is known, its buckets are there, and the list of free
//     pages names none that is in use (pages.go);
//   - up to smallBook bytes, and before an import of any size: the whole book is read through, every checksum included.
//
// A book that failed once is not written to again in this run, unless the file has changed since.
const smallBook = 4 << 20

// fit refuses a book that must not be written to.
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
	walked, err := walkFile(b.path, walk)
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
