package tui

import (
	"sync"
	"sync/atomic"
)

// inTurn keeps writings of one thing in order, though every command runs on its own: each takes a turn when it is given
// out, and one whose turn was overtaken by a newer one does nothing.
type inTurn struct {
	mu     sync.Mutex
	newest atomic.Int64
}

func (d *inTurn) turn() int64 { return d.newest.Add(1) }

func (d *inTurn) write(turn int64, fn func() error) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if turn < d.newest.Load() {
		return nil
	}
	return fn()
}
