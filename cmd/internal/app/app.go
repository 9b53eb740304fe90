// Package app is what the commands of one run share: where they read and write, the book, the tank and the moment that
// are meant, and how results are printed.
package app

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
	"leadline/cmd/internal/settings"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/terminal"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/tui/part"
)

// App is what the commands of one run share: where they read and write, what time it is, and the global flags.
type App struct {
	In     io.Reader
	Out    *bufio.Writer // results; flushed when the command ends
	RawOut io.Writer     // the same, unbuffered, for the screen
	ErrOut io.Writer     // messages
	Env    func(string) string
	Now    func() time.Time

	BookFlag, TankFlag, AsOfFlag string
	JSON, PlainFlag              bool

	Shapes map[*cobra.Command]any // what each command prints with --json

	Execute func(ctx context.Context, a *App, args []string) error // runs a command of the command line
	Above   *App                                                   // whose part this run is; nil: it is whole

	Opened *logbook.Book // the book that the command works on, once it is open
	InStep bool          // something else brings it in step with the others', if it is shared

	set     *settings.Settings // nil until something asks for it
	setErr  error              // what is wrong in the file of settings
	Lenient bool               // a broken file of settings does not stop this command

	theme *part.Theme // nil until something is drawn

	OnScreen  atomic.Bool // the terminal interface, or a command of the keeper's, runs and is to be ended at an interrupt
	mu        sync.Mutex
	leftovers []string           // temporary files and folders to remove however the run ends
	underWay  *terminal.Progress // the line on the terminal that says how far an import is

	EveryRefusal bool // all refusals are printed, not the first ones only
	Doubted      bool // the clock was looked at, and what is doubtful about it was said
}

// Say prints a message for people beside the results.
func (a *App) Say(format string, args ...any) {
	_ = a.Out.Flush() // keep the order of results and messages on a terminal
	fmt.Fprintln(a.ErrOut, strings.Join(words.Fold(usage.CleanLines(fmt.Sprintf(format, args...)), a.textWidth(a.ErrOut)),
		"\n"))
}

// Warn prints a doubt about what was typed; "" is none.
func (a *App) Warn(doubt string) {
	if doubt != "" {
		a.Say("warning: %s", doubt)
	}
}

// HasTerminal reports whether a person sits at both ends.
func (a *App) HasTerminal() bool { return terminal.IsTerminal(a.In) && terminal.IsTerminal(a.RawOut) }

// RemoveAtEnd has a temporary file or folder removed however the run ends.
func (a *App) RemoveAtEnd(path string) {
	if a.Above != nil {
		a.Above.RemoveAtEnd(path)
		return
	}
	a.mu.Lock()
	defer a.mu.Unlock()
	a.leftovers = append(a.leftovers, path)
}

// KeepAtEnd takes back what RemoveAtEnd said of a file.
func (a *App) KeepAtEnd(path string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.leftovers = slices.DeleteFunc(a.leftovers, func(p string) bool { return p == path })
}

// RemoveLeftovers removes what RemoveAtEnd named.
func (a *App) RemoveLeftovers() {
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, path := range a.leftovers {
		_ = os.RemoveAll(path)
	}
	a.leftovers = nil
}

// ShowProgress begins the line that says how far something is, if stderr is a terminal. The one before it ends.
func (a *App) ShowProgress(doing string, total int64) *terminal.Progress {
	a.EndProgress()
	if !terminal.IsTerminal(a.ErrOut) {
		return nil
	}
	p := terminal.NewProgress(a.ErrOut, doing, total)
	a.mu.Lock()
	a.underWay = p
	a.mu.Unlock()
	go p.Run()
	return p
}

func (a *App) EndProgress() {
	a.mu.Lock()
	p := a.underWay
	a.underWay = nil
	a.mu.Unlock()
	p.End()
}

// ErrOpenAlerts is how alerts --exit-code says that something is open.
var ErrOpenAlerts = errors.New("alerts are open")

// ErrInterrupted is how the terminal interface says that a signal ended it.
var ErrInterrupted = errors.New("interrupted")

// Exit prints an error and turns it into an exit code.
func (a *App) Exit(err error) int {
	var refusals logbook.Refusals
	switch {
	case err == nil, errors.Is(err, syscall.EPIPE): // whoever read our results has seen enough
		return usage.ExitDone
	case errors.Is(err, ErrInterrupted):
		return usage.ExitInterrupted
	case errors.Is(err, ErrOpenAlerts):
		return usage.ExitOpenAlerts
	}
	code := usage.ExitFailed
	if usage.IsWrong(err) {
		code = usage.ExitUsage
	}
	what, hint := usage.InWords(err)
	switch {
	case errors.As(err, &refusals) && a.JSON:
		what, hint = refusals[0].Error(), refusals[0].Hint
		fallthrough
	case a.JSON:
		_ = a.Out.Flush()
		_ = writeJSON(a.ErrOut, shape.FailureOf(what, hint, code, refusals))
	case refusals != nil:
		a.PrintRefusals(refusals)
	default:
		a.Say("%s", words.OneLine(what))
		if hint != "" {
			a.Say("hint: %s", words.OneLine(hint))
		}
	}
	return code
}

// maxRefusals is how many refused lines are printed one by one.
const maxRefusals = 20

// PrintRefusals prints every refused line, a hint once however many lines share it, and the count.
func (a *App) PrintRefusals(rs logbook.Refusals) {
	hints := map[string]bool{}
	for i, r := range rs {
		if i == maxRefusals && !a.EveryRefusal {
			a.Say("... and %d more", len(rs)-i)
			break
		}
		a.Say("%s", words.OneLine(r.Error()))
		if r.Hint != "" && !hints[r.Hint] {
			hints[r.Hint] = true
			a.Say("hint: %s", words.OneLine(r.Hint))
		}
	}
}
