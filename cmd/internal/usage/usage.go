// Package usage says what was typed wrong and what to type instead: errors with hints, the nearest known word, exit codes.
package usage

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"leadline/alerts/words"
	"leadline/logbook"
)

// The exit codes. The help of every command and every manual page shows their table.
const (
	ExitDone        = 0
	ExitFailed      = 1
	ExitUsage       = 2
	ExitOpenAlerts  = 3
	ExitInterrupted = 130 // as shells count a program ended by ctrl+c
)

type exitCode struct {
	Code    int
	Meaning string
}

// ExitTable is every exit code with what it means.
func ExitTable() []exitCode {
	return []exitCode{
		{ExitDone, "done"},
		{ExitFailed, "it failed"},
		{ExitUsage, "wrong usage"},
		{ExitOpenAlerts, "only from alerts --exit-code: something is open"},
		{ExitInterrupted, "interrupted"},
	}
}

// ExitCodesHelp is the table on one line.
func ExitCodesHelp() string {
	codes := words.Of(ExitTable(), func(e exitCode) string { return fmt.Sprintf("%d %s", e.Code, e.Meaning) })
	return "\nExit codes: " + strings.Join(codes, "; ") + ".\n"
}

// hinted is an error with a line that helps.
type hinted struct {
	error
	hint string
}

func (e hinted) Unwrap() error { return e.error }

func (e hinted) Hint() string { return e.hint }

// wrong is a command that was typed wrong.
type wrong struct{ hinted }

// WithHint adds a line that helps to an error.
func WithHint(err error, hint string) error { return hinted{err, hint} }

// Wrong makes a usage error of another one.
func Wrong(err error, hint string) error { return wrong{hinted{err, hint}} }

// Mistyped makes a usage error of what a rule below refused of typed text; its hint stays. Another error stays as it is.
func Mistyped(err error) error {
	var r logbook.Refusal
	if !errors.As(err, &r) {
		return err
	}
	_, hint := InWords(err)
	return Wrong(err, hint)
}

// Errorf is a usage error in words.
func Errorf(hint, format string, args ...any) error {
	return Wrong(fmt.Errorf(format, args...), hint)
}

// IsWrong reports whether an error is one of wrong usage.
func IsWrong(err error) bool {
	var u wrong
	return errors.As(err, &u)
}

// InWords parts what an error says from its hint, which may be a method of the error or the second line of its text.
func InWords(err error) (what, hint string) {
	what, hint, _ = strings.Cut(err.Error(), "\nhint: ")
	var h interface{ Hint() string }
	var r logbook.Refusal
	switch {
	case errors.As(err, &h) && h.Hint() != "":
		hint = h.Hint()
	case errors.As(err, &r):
		hint = r.Hint
	}
	return what, hint
}

// CleanLines cleans text of several lines.
func CleanLines(s string) string {
	return strings.Join(words.Of(strings.Split(s, "\n"), logbook.Clean), "\n")
}

// NotThere refuses a name that is not among those that are there: it says which was probably meant, else what there is, as
// "it has daily floss; ", before how to make it.
func NotThere(name string, there []string, have, make, format string, args ...any) error {
	if len(there) > 0 {
		make = have + " " + strings.Join(there, ", ") + "; " + make
	}
	return Errorf(logbook.DidYouMean(name, there, make), format, args...)
}

// NearDescribed is the described name that one nearly like it was probably meant to be; "" where the name is described, is
// not given, or is like none.
func NearDescribed(name string, described []string) string {
	if name == "" || slices.Contains(described, name) {
		return ""
	}
	return logbook.Nearest(name, described)
}

// UnknownParameter says which parameter was probably meant.
func UnknownParameter(all []logbook.Parameter, typed string) error {
	var known []string
	for _, p := range all {
		known = append(known, p.Name, p.Code)
	}
	const hint = "leadline parameter list shows them; leadline parameter add makes one of your own"
	return Errorf(logbook.DidYouMean(typed, known, hint), "unknown parameter %q", typed)
}

// ReadError names the file once, whatever the system's own error says.
func ReadError(name string, err error) error {
	var p *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: there is no such file", name)
	case errors.As(err, &p):
		return fmt.Errorf("%s: %w", name, p.Err)
	}
	return err
}
