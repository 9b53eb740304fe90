package logbook

import "errors"

var errTodo = errors.New("not written yet")

// Book is a logbook file. It holds no file open: every call opens the file, acts and closes it.
type Book struct{ path string }

// Stamp tells two states of a book apart; compare with ==.
type Stamp struct {
	size, modified int64
	commit         uint64
}

// View is one consistent look at a book. It is valid only inside the function it is given to.
type View struct{}

func Create(path string) (*Book, error)       { return nil, errTodo }
func Open(path string) (*Book, error)         { return nil, errTodo }
func OpenOrCreate(path string) (*Book, error) { return nil, errTodo }

func (b *Book) Path() string                      { return b.path }
func (b *Book) Stamp() (Stamp, error)             { return Stamp{}, errTodo }
func (b *Book) View(fn func(v *View) error) error { return errTodo }
