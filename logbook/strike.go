package logbook

import "time"

// Strike takes an entry out of account without erasing it, as in a laboratory notebook.
type Strike struct {
	Target    ID // the entry that is struck; field "id" in JSON Lines
	Time      time.Time
	Who       string
	Why       string
	Successor ID // the entry that stands in its place; zero if none
}

func (Strike) Kind() Kind { return KindStrike }

// Struck is a struck entry, still readable, with the strike that took it out.
type Struck struct {
	Entry  Entry
	Strike Strike
}
