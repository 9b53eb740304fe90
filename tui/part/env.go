package part

import (
	"cmp"
	"fmt"
	"io"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/logbook"
)

// Options is what the interface is started with.
type Options struct {
	Book      *logbook.Book
	Now       func() time.Time
	AsOf      *time.Time // nil: now
	In        io.Reader
	Out       io.Writer // nil: the standard output
	NoColor   bool
	Light     bool // the terminal's background is light
	ASCII     bool // the locale is not UTF-8
	Demo      bool
	Mouse     bool          // the wheel scrolls and a click chooses; marking text then takes a key
	Exports   []Export      // what can be made a file of
	Tank      string        // the tank to begin with, whatever was open; "": that of the place
	Who       string        // who notes down, until the keeper says another; "": nobody
	Apart     func() bool   // whether those who share the book are out of reach; nil: it is not shared
	UsualTank string        // the tank to begin with where no place is kept
	PlaceFile string        // where it is kept what was open, to open it again; "": nowhere
	Order     logbook.Order // of parameters, by name or code, for tanks that have none of their own
}

// Env is what all screens share.
type Env struct {
	Options
	*Theme
	Behind  bool                    // the clock stands before the newest entry
	TestDay func(logbook.Tank) Want // with what a new tank goes on
}

// Moment is the time the screens speak of and new entries get: now, or the as-of the program was started with.
func (e *Env) Moment() time.Time {
	if e.AsOf != nil {
		return *e.AsOf
	}
	return e.Now()
}

// Ask reads something of the book for a screen, which takes in what is found while it is open.
func Ask[T any](p *Page, look func(v *logbook.View) (T, error), take func(T) tea.Cmd) tea.Cmd {
	return p.Read(func(v *logbook.View) (tea.Msg, error) {
		found, err := look(v)
		return AnswerMsg{p, func() tea.Cmd { return take(found) }}, err
	})
}

// AskAnew is Ask for what a screen asks again and again: what a newer question has overtaken is dropped.
func AskAnew[T any](p *Page, look func(v *logbook.View) (T, error), take func(T) tea.Cmd) tea.Cmd {
	p.asked++
	asked := p.asked
	return Ask(p, look, func(found T) tea.Cmd {
		if asked != p.asked {
			return nil
		}
		return take(found)
	})
}

// Read makes a command of one look into the book.
func (e *Env) Read(fn func(v *logbook.View) (tea.Msg, error)) tea.Cmd {
	return e.Write(func(b *logbook.Book) (tea.Msg, error) { return logbook.Seen(b, fn) })
}

// Write makes a command of one change of the book.
func (e *Env) Write(fn func(b *logbook.Book) (tea.Msg, error)) tea.Cmd {
	book := e.Book
	return Think(func() (tea.Msg, error) { return fn(book) })
}

// Think makes a command of what takes its time. The answer is what fn returns, or a failure.
func Think(fn func() (tea.Msg, error)) tea.Cmd {
	return func() (answer tea.Msg) {
		defer func() {
			if fault := recover(); fault != nil { // it must not take down the screen with what is typed on it
				answer = FailedMsg{fmt.Errorf("a fault of the program: %v", fault)}
			}
		}()
		msg, err := fn()
		if err != nil {
			return FailedMsg{err}
		}
		return msg
	}
}

// Hours is so many hours, of which there may be parts.
func Hours(h float64) time.Duration { return time.Duration(h * float64(time.Hour)) }

// ChangeTank rewrites a tank from what the book holds of it now.
func ChangeTank(b *logbook.Book, name string, change func(*logbook.Tank)) (logbook.Tank, error) {
	var t logbook.Tank
	_, err := b.Update(func(v *logbook.View) (_ []logbook.Record, err error) {
		if t, err = v.Tank(name); err != nil {
			return nil, err
		}
		if t.Bands == nil {
			t.Bands = map[string]logbook.Band{}
		}
		change(&t)
		return []logbook.Record{t}, nil
	})
	return t, err
}

// Ring rings the terminal's bell.
func (e *Env) Ring() tea.Msg {
	if e.Out != nil {
		_, _ = e.Out.Write([]byte{7})
	}
	return nil
}

// ExamineNow examines a parameter of a tank as the book holds both of them now.
func ExamineNow(v *logbook.View, tank, parameter string, at time.Time) (alerts.Finding, error) {
	t, err1 := v.Tank(tank)
	p, err2 := v.Parameter(parameter)
	if err := cmp.Or(err1, err2); err != nil {
		return alerts.Finding{}, err
	}
	return alerts.ExamineParameter(v, t, p, at, 0)
}
