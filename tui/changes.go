package tui

import (
	"time"

	"leadline/logbook"
)

func newChanges(e *env, t logbook.Tank, at time.Time) screen { return newHelp(e, nil) }
