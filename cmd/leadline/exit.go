package main

import (
	"errors"
	"fmt"
	"strings"
	"syscall"

	"leadline/logbook"
)

// The exit codes. The help of every command and every manual page shows their table.
const (
	exitDone        = 0
	exitFailed      = 1
	exitUsage       = 2
	exitOpenAlerts  = 3
	exitInterrupted = 130 // as shells count a program ended by ctrl+c
)

type exitCode struct {
	code    int
	meaning string
}

func exitTable() []exitCode {
	return []exitCode{
		{exitDone, "done"},
		{exitFailed, "it failed"},
		{exitUsage, "wrong usage"},
		{exitOpenAlerts, "only from alerts --exit-code: something is open"},
		{exitInterrupted, "interrupted"},
	}
}

// exitCodesHelp is the table on one line.
func exitCodesHelp() string {
	var codes []string
	for _, e := range exitTable() {
		codes = append(codes, fmt.Sprintf("%d %s", e.code, e.meaning))
	}
	return "\nExit codes: " + strings.Join(codes, "; ") + ".\n"
}

// errOpenAlerts is how alerts --exit-code says that something is open.
var errOpenAlerts = errors.New("alerts are open")

// errInterrupted is how the terminal interface says that a signal ended it.
var errInterrupted = errors.New("interrupted")

// usageError is a command that was typed wrong.
type usageError struct {
	err  error
	hint string
}

func (e usageError) Error() string { return e.err.Error() }
func (e usageError) Unwrap() error { return e.err }
func (e usageError) Hint() string  { return e.hint }

// hinted is an error with a line that helps.
type hinted struct {
	err  error
	hint string
}

func (e hinted) Error() string { return e.err.Error() }
func (e hinted) Unwrap() error { return e.err }
func (e hinted) Hint() string  { return e.hint }

func withHint(err error, hint string) error { return hinted{err, hint} }

// wrongUsage makes a usage error of another one.
func wrongUsage(err error, hint string) error { return usageError{err, hint} }

// usagef is a usage error in words.
func usagef(hint, format string, args ...any) error {
	return usageError{fmt.Errorf(format, args...), hint}
}

func isUsage(err error) bool {
	var u usageError
	return errors.As(err, &u)
}

// exit prints an error and turns it into an exit code.
func (a *app) exit(err error) int {
	var refusals logbook.Refusals
	switch {
	case err == nil, errors.Is(err, syscall.EPIPE): // whoever read our results has seen enough
		return exitDone
	case errors.Is(err, errInterrupted):
		return exitInterrupted
	case errors.Is(err, errOpenAlerts):
		return exitOpenAlerts
	case errors.As(err, &refusals):
		a.printRefusals(refusals)
		return exitFailed
	}
	what, hint := inWords(err)
	fmt.Fprintln(a.errOut, oneLine(what))
	if hint != "" {
		fmt.Fprintln(a.errOut, "hint: "+oneLine(hint))
	}
	if isUsage(err) {
		return exitUsage
	}
	return exitFailed
}

// inWords parts what an error says from its hint, which may be a method of the error or the second line of its text.
func inWords(err error) (what, hint string) {
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

// maxRefusals is how many refused lines are printed one by one.
const maxRefusals = 20

// printRefusals prints every refused line, a hint once however many lines share it, and the count.
func (a *app) printRefusals(rs logbook.Refusals) {
	hints := map[string]bool{}
	for i, r := range rs {
		if i == maxRefusals && !a.everyRefusal {
			fmt.Fprintf(a.errOut, "... and %d more\n", len(rs)-i)
			break
		}
		fmt.Fprintln(a.errOut, oneLine(r.Error()))
		if r.Hint != "" && !hints[r.Hint] {
			hints[r.Hint] = true
			fmt.Fprintln(a.errOut, "hint: "+oneLine(r.Hint))
		}
	}
}

// oneLine cleans text that may quote what others wrote, and keeps it on one line.
func oneLine(s string) string {
	return logbook.Clean(strings.Join(strings.Fields(s), " "))
}

// cleanLines cleans text of several lines.
func cleanLines(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = logbook.Clean(lines[i])
	}
	return strings.Join(lines, "\n")
}

// errNothingOpen is an answer to an alert that is not there.
var errNothingOpen = errors.New("no such alert is open")
