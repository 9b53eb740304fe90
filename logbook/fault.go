package logbook

import (
	"errors"
	"fmt"
	"runtime/debug"
)

// guarded runs fn so that a fault in the book's mapped pages, or a panic of the store over pages that make no sense,
// comes back as ErrDamaged. Everything that touches a page runs inside one: the runtime's default for a fault in mapped
// memory is to end the process, and SetPanicOnFault holds for one goroutine only.
func guarded(fn func() error) (err error) {
	before := debug.SetPanicOnFault(true)
	defer debug.SetPanicOnFault(before)
	defer func() {
		p := recover()
		if found, is := p.(error); is && errors.Is(found, ErrDamaged) {
			err = found
		} else if p != nil { // in words that tell a keeper nothing
			err = fmt.Errorf("%w: its pages make no sense", ErrDamaged)
		}
	}()
	return fn()
}

// outside runs a function of the caller inside a guarded one. What goes wrong in it is the caller's own and no sign of
// damage: its panic is carried past guarded and raised again, and its error goes back as it is.
type outside struct {
	panicked any
	failed   error
}

var errOutside = errors.New("the caller's function failed")

func (o *outside) call(fn func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			o.panicked = p
			err = errOutside
		}
	}()
	if o.failed = fn(); o.failed != nil {
		return errOutside
	}
	return nil
}

func (o *outside) raise() {
	if o.panicked != nil {
		panic(o.panicked)
	}
}
