package tui

import "leadline/alerts"

func newWhatIf(e *env, l alerts.Line) screen { return newHelp(e, nil) }
