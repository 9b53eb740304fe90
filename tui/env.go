package tui

import (
	"fmt"
	"io"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
)

// env is what all screens share.
type env struct {
	book    *logbook.Book
	theme   *theme
	now     func() time.Time
	asOf    *time.Time
	demo    bool
	exports []Export
	order   logbook.Order     // of parameters, for tanks that have none of their own
	units   map[string]string // of bare numbers, by parameter, where no method says it
	behind  bool              // the clock stands before the newest entry
	bell    io.Writer         // where the terminal's bell is rung; nil: nowhere
	asked   int               // requests so far; an answer carries its number, and a late one is dropped
}

// moment is the time the screens speak of and new entries get: now, or the as-of the program was started with.
func (e *env) moment() time.Time {
	if e.asOf != nil {
		return *e.asOf
	}
	return e.now()
}

// ask numbers a request.
func (e *env) ask() int {
	e.asked++
	return e.asked
}

// read makes a command of one look into the book. The answer is what fn returns, or a failure.
func (e *env) read(fn func(v *logbook.View) (tea.Msg, error)) tea.Cmd {
	book := e.book
	return func() (answer tea.Msg) {
		defer recovered(&answer)
		var msg tea.Msg
		err := book.View(func(v *logbook.View) error {
			var err error
			msg, err = fn(v)
			return err
		})
		if err != nil {
			return failedMsg{err}
		}
		return msg
	}
}

// think makes a command of what takes its time but needs no book.
func think(fn func() (tea.Msg, error)) tea.Cmd {
	return func() (answer tea.Msg) {
		defer recovered(&answer)
		msg, err := fn()
		if err != nil {
			return failedMsg{err}
		}
		return msg
	}
}

// write makes a command of one change of the book.
func (e *env) write(fn func(b *logbook.Book) (tea.Msg, error)) tea.Cmd {
	book := e.book
	return func() (answer tea.Msg) {
		defer recovered(&answer)
		msg, err := fn(book)
		if err != nil {
			return failedMsg{err}
		}
		return msg
	}
}

// recovered turns a fault in a command into a message: it must not take down the screen with what is typed on it.
func recovered(answer *tea.Msg) {
	if fault := recover(); fault != nil {
		*answer = failedMsg{fmt.Errorf("a fault of the program: %v", fault)}
	}
}
