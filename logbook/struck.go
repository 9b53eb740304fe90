package logbook

import (
	"fmt"
	"slices"
	"strconv"
	"time"
)

// struckError says who struck an entry, when and why.
func (v *View) struckError(id ID) error {
	s, err := v.struck(id, v.get("struck", id[:]))
	if err != nil {
		return err
	}
	text := fmt.Sprintf("entry %s was struck on %s", id, s.strike.Time.Format(time.DateOnly))
	if s.strike.Who != "" {
		text += " by " + strconv.Quote(s.strike.Who)
	}
	if s.strike.Why != "" {
		text += ": " + strconv.Quote(s.strike.Why)
	}
	if !s.strike.Successor.IsZero() {
		text += "; entry " + s.strike.Successor.String() + " stands in its place"
	}
	return notFound("%s", text)
}

func (v *View) struck(id ID, sealed []byte) (struckValue, error) {
	value, ok := unseal(id[:], sealed)
	if !ok {
		return struckValue{}, fmt.Errorf("%w: the checksum of struck entry %s does not fit", ErrDamaged, id)
	}
	s, err := readStruck(id, value)
	if err != nil {
		return struckValue{}, fmt.Errorf("%w: struck entry %s: %v", ErrDamaged, id, err)
	}
	return s, nil
}

// Struck lists the struck entries of a tank in the order of their own times; tank "" means of every tank.
func (v *View) Struck(tank string) (all []Struck, err error) {
	err = v.guarded(func() error {
		return v.eachStruck(func(e Entry, s Strike) error {
			if tank == "" || e.TankName() == tank {
				all = append(all, Struck{Entry: e, Strike: s})
			}
			return nil
		})
	})
	slices.SortStableFunc(all, func(a, b Struck) int { return a.Entry.When().Compare(b.Entry.When()) })
	return all, err
}

func (v *View) eachStruck(fn func(e Entry, s Strike) error) error {
	c := v.cursor("struck")
	for k, sealed := c.First(); k != nil; k, sealed = c.Next() {
		if len(k) != len(ID{}) {
			return fmt.Errorf("%w: a struck entry has an ID of %d bytes", ErrDamaged, len(k))
		}
		s, err := v.struck(ID(k), sealed)
		if err != nil {
			return err
		}
		e, err := v.entry(s.kind, s.key[:], s.sealed)
		if err != nil {
			return err
		}
		if err := fn(e, s.strike); err != nil {
			return err
		}
	}
	return nil
}
