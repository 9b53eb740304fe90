package app

import (
	"leadline/cmd/internal/terminal"
)

// ShowProgress begins such a line, if stderr is a terminal. The one before it ends.
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

// EndProgress takes the line away.
func (a *App) EndProgress() {
	a.mu.Lock()
	p := a.underWay
	a.underWay = nil
	a.mu.Unlock()
	p.End()
}
