package logbook

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime/debug"
	"strings"
	"syscall"

	bolterrors "go.etcd.io/bbolt/errors"
)

// The named errors of a book. What a caller gets wraps one of them with the path, what is wrong and what to do; branch
// with errors.Is.
var (
	ErrNotFound = errors.New("not found")
	ErrBusy     = errors.New("the book is in use")
	ErrDamaged  = errors.New("the book is damaged")
	ErrNotBook  = errors.New("not a logbook")
	ErrNewer    = errors.New("the book is of a newer version")
	ErrExists   = errors.New("already there")
	ErrUnsure   = errors.New("the last step of the writing failed") // what was written may be in the book or not
)

// explain puts the path before an error, gives it one of the names of errors.go and says what can be done. What has a
// path already passes.
func (b *Book) explain(err error) error { return explain(b.path, err) }

func explain(path string, err error) error {
	var told *bookError
	switch {
	case err == nil || errors.As(err, &told):
		return err
	case errors.Is(err, ErrUnsure):
		return &bookError{path, err, "what you noted may be kept all the same: look with `leadline export jsonl` before " +
			"you note it again"}
	case errors.Is(err, bolterrors.ErrTimeout):
		return &bookError{path, fmt.Errorf("%w: waited %v for another program that has it open%s", ErrBusy, wait,
			holder(path)),
			"let it finish (an import or a backup may take a while), then try again"}
	case errors.Is(err, fs.ErrNotExist):
		return missing(path)
	case errors.Is(err, ErrDamaged), errors.Is(err, bolterrors.ErrInvalid), errors.Is(err, bolterrors.ErrChecksum):
		if unread := readThrough(path); unread != nil { // the fault may be the disk's alone
			return explain(path, unread)
		}
	}
	switch {
	case errors.Is(err, bolterrors.ErrInvalid), strings.Contains(err.Error(), "file size too small"):
		// bbolt has no name for it
		if is, _ := BeginsLikeBook(path); is {
			return &bookError{path, damaged("it was cut off"), damageHint}
		}
		return &bookError{path, fmt.Errorf("%w: it is a file of another kind", ErrNotBook), notBookHint}
	case errors.Is(err, bolterrors.ErrVersionMismatch), errors.Is(err, bolterrors.ErrChecksum):
		return &bookError{path, damaged("neither of its two head pages can be read"), damageHint}
	case errors.Is(err, ErrDamaged):
		return &bookError{path, err, damageHint}
	case errors.Is(err, ErrNewer):
		return &bookError{path, err, "install a newer leadline; nothing was changed"}
	case errors.Is(err, ErrNotBook):
		return &bookError{path, err, notBookHint}
	}
	return ofDisk(path, err)
}

// unwritten is what ended a writing before anything of it could count.
type unwritten struct{ error }

func (e unwritten) Unwrap() error { return e.error }

// unsettled is what went wrong after a file had got its name: it is there, and a power cut may take it away.
type unsettled struct{ error }

func (e unsettled) Unwrap() error { return e.error }

// OfSystem reports whether an error is what the system told of a disk or a file, when nothing of the writing counts.
func OfSystem(err error) bool {
	_, is := errors.AsType[syscall.Errno](err)
	return is && !errors.Is(err, ErrUnsure)
}

// ofDisk says what the system told of a disk or a file in words, with what to do. The store tells some of it in its own
// words alone, at the end of which the system's stand.
func ofDisk(path string, err error) error {
	for _, f := range []struct {
		number     syscall.Errno
		what, hint string
	}{
		{syscall.ENOSPC, "the disk is full", "make room, then do it again"},
		{syscall.EDQUOT, "your share of the disk is full", "make room, then do it again"},
		{syscall.EFBIG, "no file may grow so large here", "`ulimit -f` shows the limit; raise it, then do it again"},
		{syscall.EIO, "the disk, or what connects it, fails",
			"the book may be sound and is not to be replaced for this: try again, then copy it to another disk"},
		{syscall.EROFS, "from this disk one can only read",
			"a disk that fails, or was not put away cleanly, may be held so: look at it, then do it again"},
		{syscall.EACCES, "it may not be opened by you", "`ls -l` shows whose file it is and who may read and write it"},
		{syscall.EPERM, "it may not be changed by you", "`ls -l` shows whose file it is and who may read and write it"},
		{syscall.ENOMEM, "there is not enough memory", "close other programs, then do it again"},
		{syscall.ENOLCK, "its disk lets no file be locked", "a book needs a disk that does: move it to one of this machine"},
		{syscall.ESTALE, "the network disk no longer knows the file", "connect the disk again, then do it again"},
	} {
		if !errors.Is(err, f.number) && !strings.HasSuffix(err.Error(), f.number.Error()) {
			continue
		}
		if _, is := errors.AsType[unwritten](err); is {
			f.what += " and nothing was written"
		}
		if _, is := errors.AsType[unsettled](err); is {
			f.what += ", but the new file stands there"
		}
		return &bookError{path, fmt.Errorf("%s: %w", f.what, f.number), f.hint}
	}
	var number syscall.Errno
	if errors.As(err, &number) {
		return &bookError{path, number, ""}
	}
	return err
}

// missing says that no book is at path, and from what it may be got back.
func missing(path string) error {
	err, hint := fmt.Errorf("%w: there is no such file", ErrNotFound), ""
	if to := follow(path); to != path {
		err = fmt.Errorf("%w: it is a link to %s, and there is no such file", ErrNotFound, to)
		hint = "is the disk connected on which the book lies? without the link a new one can be started"
	}
	if left := leftBeside(follow(path)); len(left) > 0 {
		err = fmt.Errorf("%w, but beside it lies %s", err, strings.Join(left, ", "))
		hint = fmt.Sprintf("`leadline restore \"%s\"` puts it back; a new book is started when it is moved away",
			left[len(left)-1])
	}
	return &bookError{path, err, hint}
}

// readThrough reads a whole file and gives the error of the disk, if there is one.
func readThrough(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return nil // which is no matter of the disk
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || info.IsDir() {
		return err
	}
	_, err = io.Copy(io.Discard, io.NewSectionReader(f, 0, info.Size()))
	return err
}

const notBookHint = "name another file with --book; if it was a logbook, leadline salvage looks for what is left"

const damageHint = "nothing is written to it any more; look at it with `leadline verify`, put a backup back with " +
	"`leadline restore FILE`, or take what is whole into a new book with `leadline salvage DAMAGED NEW`"

// ofOther gives an error about a book that is not the one in use a hint of its own: what explain says to do is about
// the book in use, which is sound and stays as it is.
func ofOther(path string, err error) error {
	var told *bookError
	if !errors.As(err, &told) || told.path != path {
		return err
	}
	switch {
	case errors.Is(err, ErrDamaged):
		return &bookError{path, told.err, "the book in use was not changed; `leadline verify --book FILE` looks at this one"}
	case errors.Is(err, ErrNotBook), errors.Is(err, ErrNotFound):
		return &bookError{path, told.err, "name a book, such as `leadline backup` makes"}
	}
	return err
}

// namedError is one of the named errors in words of its own.
type namedError struct {
	text  string
	named error
}

func (e *namedError) Error() string { return e.text }
func (e *namedError) Unwrap() error { return e.named }

func notFound(format string, args ...any) error {
	return &namedError{fmt.Sprintf(format, args...), ErrNotFound}
}

type bookError struct {
	path string
	err  error
	hint string
}

func (e *bookError) Error() string {
	text := e.path + ": " + e.err.Error()
	if e.hint != "" {
		text += "\nhint: " + e.hint
	}
	return text
}

func (e *bookError) Unwrap() error { return e.err }

// OfBook reports whether an error is about a book, and says so.
func OfBook(err error) bool {
	_, is := errors.AsType[*bookError](err)
	return is
}

// guarded runs fn and gives back the error that fail ended it with. A fault in the book's mapped pages, or a panic of
// the store over pages that make no sense, comes back as ErrDamaged. Everything that touches a page runs inside one:
// the runtime's default for a fault in mapped memory is to end the process, and SetPanicOnFault holds for one goroutine
// only.
func guarded(fn func()) error {
	before := debug.SetPanicOnFault(true)
	defer debug.SetPanicOnFault(before)
	return attempt(fn)
}

// attempt is for a part of a guarded function whose error is not yet the end of it.
func attempt(fn func()) (err error) {
	defer func() {
		switch p := recover().(type) {
		case nil:
		case fault:
			err = p.error
		default: // in words that tell a keeper nothing
			err = damaged("its pages make no sense")
		}
	}()
	fn()
	return nil
}

// fault carries an error to the end of a guarded function.
type fault struct{ error }

// fail ends the guarded function that it is called in with an error, if there is one. What reads and writes the pages
// of a book fails in this way and hands no errors on: nothing between it and the guarded function could mend them.
func fail(err error) {
	if err != nil {
		panic(fault{err})
	}
}

func damaged(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrDamaged, fmt.Sprintf(format, args...))
}

// outside runs a function of the caller inside a guarded one. What goes wrong in it is the caller's own and no sign of
// damage: its panic is carried past guarded and raised again, and its error goes back as it is.
type outside struct {
	panicked any
	failed   error
}

var errOutside = errors.New("the caller's function failed")

func (o *outside) call(fn func() error) {
	defer func() {
		if o.panicked = recover(); o.panicked != nil || o.failed != nil {
			fail(errOutside)
		}
	}()
	o.failed = fn()
}

// end gives the error of the guarded function, or the caller's.
func (o *outside) end(err error) error {
	if o.panicked != nil {
		panic(o.panicked)
	}
	if o.failed != nil {
		return o.failed
	}
	return err
}
