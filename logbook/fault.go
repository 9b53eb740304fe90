package logbook

import (
	"errors"
	"fmt"
	"runtime/debug"
)

// guarded runs fn and gives back the error that fail ended it with. A fault in the book's mapped pages, or a panic of the
// store over pages that make no sense, comes back as ErrDamaged. Everything that touches a page runs inside one: the
// runtime's default for a fault in mapped memory is to end the process, and SetPanicOnFault holds for one goroutine only.
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

// fail ends the guarded function that it is called in with an error, if there is one. What reads and writes the pages of a
// book fails in this way and hands no errors on: nothing between it and the guarded function could mend them.
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
