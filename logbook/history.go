package logbook

import (
	"reflect"
	"slices"
	"time"
)

// Step is what one change did to a definition: Was is what it said before, and Is after it; nil where there was none,
// or it was taken away.
type Step struct {
	Change
	Was, Is Record
}

// History gives the steps of the definition of the name of another one, in the order in which they count: what a change
// did that came to a book late, it did at its moment.
func (v *View) History(of Record) ([]Step, error) {
	return ask(v, func() []Step {
		d := derived(v.changes())
		return d.steps(d.of[d.place(of)])
	})
}

// Steps gives what was noted of a tank, of what belongs to it, and of what belongs to none, in a stretch of time.
func (v *View) Steps(tank string, from, to time.Time) (all []Step, err error) {
	err = v.guarded(func() {
		d := derived(v.changes())
		for _, h := range d.of {
			of := h.changes[0].Of
			if t, is := of.(Tank); is && d.first(t.Name) != d.first(tank) {
				continue
			}
			if x, is := of.(tanked); is && d.first(x.TankName()) != d.first(tank) {
				continue
			}
			for _, s := range d.steps(h) {
				if !s.Noted.Before(from) && !s.Noted.After(to) && s.Noted.After(oldest()) {
					all = append(all, s)
				}
			}
		}
	})
	slices.SortFunc(all, func(a, b Step) int { return compareChanges(a.Change, b.Change) })
	return all, err
}

// steps are those of one definition, under the names that it had.
func (d derivation) steps(h *held) (all []Step) {
	if h == nil {
		return nil
	}
	var run held
	var was Record
	for _, c := range h.changes {
		run.add(c)
		is := run.definition()
		all, was = append(all, Step{c, was, is}), is
	}
	return all
}

// Name is what the definition is called, in words: "tank forereef".
func (s Step) Name() string { return definitionName(s.Of) }

// Sections are the fields that a step changed, by their names in JSON Lines, as in "volume_l", "bands.nitrate",
// "chore"; "tank" is the name of a tank, and whether it is in use.
func (s Step) Sections() (changed []string) {
	of := func(rec Record) sections {
		if rec == nil {
			return nil
		}
		return sectionsOf(rec)
	}
	was, is := of(s.Was), of(s.Is)
	for section := range is {
		if before, had := was[section]; !had || !reflect.DeepEqual(before, is[section]) {
			changed = append(changed, section)
		}
	}
	for section := range was {
		if _, has := is[section]; !has {
			changed = append(changed, section)
		}
	}
	slices.Sort(changed)
	t, isTank := s.Is.(Tank)
	before, wasTank := s.Was.(Tank)
	if isTank && wasTank && !reflect.DeepEqual(t.naming(), before.naming()) {
		changed = append([]string{string(KindTank)}, changed...)
	}
	return changed
}
