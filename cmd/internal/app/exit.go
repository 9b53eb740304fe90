package app

import (
	"errors"
	"syscall"

	"leadline/alerts/words"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

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
	case errors.As(err, &refusals):
		a.PrintRefusals(refusals)
		return usage.ExitFailed
	}
	what, hint := usage.InWords(err)
	a.Say("%s", words.OneLine(what))
	if hint != "" {
		a.Say("hint: %s", words.OneLine(hint))
	}
	if usage.IsWrong(err) {
		return usage.ExitUsage
	}
	return usage.ExitFailed
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
