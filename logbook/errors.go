package logbook

import "errors"

// The named errors of a book. What a caller gets wraps one of them with the path, what is wrong and what to do; branch
// with errors.Is.
var (
	ErrNotFound = errors.New("not found")
	ErrBusy     = errors.New("the book is in use")
	ErrDamaged  = errors.New("the book is damaged")
	ErrNotBook  = errors.New("not a logbook")
	ErrNewer    = errors.New("the book is of a newer version")
	ErrExists   = errors.New("already there")
)
