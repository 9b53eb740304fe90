package logbook

import (
	"fmt"
	"iter"
	"slices"
	"strconv"
	"time"
)

func (v *View) struckError(id ID) error {
	s := v.struck(id).strike
	text := fmt.Sprintf("entry %s was struck on %s", id, s.Time.Format(time.DateOnly))
	if s.Who != "" {
		text += " by " + strconv.Quote(s.Who)
	}
	if s.Why != "" {
		text += ": " + strconv.Quote(s.Why)
	}
	if !s.Successor.IsZero() {
		text += "; entry " + s.Successor.String() + " stands in its place"
	}
	return notFound("%s", text)
}

func (v *View) struck(id ID) struckValue { return readSealedStruck(id, v.get("struck", id[:])) }

func readSealedStruck(id ID, sealed []byte) struckValue {
	s, err := readStruck(id, mustUnseal(id[:], sealed, "the checksum of struck entry %s does not fit", id))
	if err != nil {
		fail(damaged("struck entry %s: %v", id, err))
	}
	return s
}

// Struck lists the struck entries of a tank in the order of their own times; tank "" means of every tank.
func (v *View) Struck(tank string) (all []Struck, err error) {
	err = v.guarded(func() {
		tank = v.present(tank)
		for e, s := range v.eachStruck() {
			if tank == "" || e.TankName() == tank {
				all = append(all, Struck{Entry: e, Strike: s.strike})
			}
		}
	})
	slices.SortStableFunc(all, func(a, b Struck) int { return a.Entry.When().Compare(b.Entry.When()) })
	return all, err
}

func (v *View) eachStruck() iter.Seq2[Entry, struckValue] {
	return func(yield func(Entry, struckValue) bool) {
		c := v.cursor("struck")
		for k, sealed := c.First(); k != nil; k, sealed = c.Next() {
			if len(k) != len(ID{}) {
				fail(damaged("a struck entry has an ID of %d bytes", len(k)))
			}
			s := readSealedStruck(ID(k), sealed)
			if !yield(v.entry(s.kind, s.key[:], s.sealed), s) {
				return
			}
		}
	}
}

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
