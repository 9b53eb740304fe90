package logbook

import "errors"

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
