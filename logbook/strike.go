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

func (s Strike) fields(v visitor) Record {
	v.moment("time", "the time of the strike", &s.Time, needed)
	v.id("id", &s.Target, needed|inKey)
	v.text("who", "who struck", &s.Who, freeText)
	v.text("why", "the reason", &s.Why, freeText)
	v.id("successor", &s.Successor, 0)
	v.check(func(c *checks) {
		if s.Target.IsZero() {
			c.fail("the strike does not say which entry it strikes")
		}
		if s.Successor == s.Target && !s.Target.IsZero() {
			c.fail("entry %s cannot succeed itself", s.Target)
		}
	})
	return s
}

// Struck is a struck entry, still readable, with the strike that took it out.
type Struck struct {
	Entry  Entry
	Strike Strike
}
