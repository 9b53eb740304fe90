package logbook

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"time"
)

// A tank keeps the names that it had: whoever names one of them means it, and no other tank can get one. So a file or
// another copy of the book that has an old name speaks of the tank of today. Entries move to the new name with their
// IDs; in a reading's ID the old one stays, since the reading was noted under it.

// with gives a tank the names of another one as well, and the later moments at which either was retired and brought
// back. It keeps its own name, or takes that of the other.
func (t Tank) with(other Tank, itsName bool) Tank {
	was := slices.Concat(t.Was, other.Was, []string{t.Name, other.Name})
	if itsName {
		t.Name, t.Renamed = other.Name, other.Renamed
	}
	slices.Sort(was)
	was = slices.DeleteFunc(slices.Compact(was), func(name string) bool { return name == t.Name })
	t.Was = slices.Clip(append([]string(nil), was...))
	t.Retired, t.Returned = laterOf(t.Retired, other.Retired).UTC(), laterOf(t.Returned, other.Returned).UTC()
	t.Renamed, t.Apart = t.Renamed.UTC(), t.Apart || other.Apart
	return t
}

// naming is what is joined where two books tell of a tank, rather than taken from the one that noted it last: its
// names, and what tells its own moment. It is the same in whatever order, and in whatever zone, it was told.
func (t Tank) naming() Tank { return Tank{}.named(t).with(t, false) }

// onlyName reports whether its naming is its name alone.
func (t Tank) onlyName() bool { return reflect.DeepEqual(t.naming(), Tank{Name: t.Name}) }

// named is a tank with the naming of another.
func (t Tank) named(as Tank) Tank {
	t.Name, t.Was, t.Renamed, t.Retired, t.Returned = as.Name, as.Was, as.Renamed, as.Retired, as.Returned
	t.Apart = as.Apart
	return t
}

func laterOf(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// formerly is the naming that has a tank bear the name that it had, and be in use or retired as it was, before it was
// called and used otherwise; where it is so no longer, nothing.
func (t Tank) formerly(was, then Tank) Tank {
	back := Tank{Name: t.Name}
	if was.Name != then.Name && t.Name == then.Name {
		back = Tank{Name: was.Name, Was: []string{t.Name}, Renamed: afterBoth(was.Renamed, t, was)}
	}
	used := func(t Tank) bool { return !t.Retired.After(t.Returned) }
	switch {
	case used(was) == used(then) || used(then) != used(t):
	case used(was):
		back.Returned = t.Retired
	default:
		back.Retired = t.Returned.Add(time.Nanosecond)
	}
	return back
}

// FindTank finds the tank that a name means: the one that bears it, or bore it, or else one whose name differs from it
// in capital and small letters alone.
func FindTank(tanks []Tank, name string) (t Tank, found bool) {
	same := func(s string) bool { return s == name }
	alike := func(s string) bool { return strings.EqualFold(s, name) }
	for _, is := range []func(string) bool{same, alike} {
		for _, fits := range []func(Tank) bool{
			func(t Tank) bool { return is(t.Name) }, func(t Tank) bool { return slices.ContainsFunc(t.Was, is) }} {
			if i := slices.IndexFunc(tanks, fits); i >= 0 {
				return tanks[i], true
			}
		}
	}
	return t, false
}

func (v *View) tankCalled(name string) (Tank, bool) {
	return FindTank(definitionsOf[Tank](v, ""), name)
}

// present is the name that the tank of a name bears now; of an unknown one it is the name itself.
func (v *View) present(name string) string {
	if name != "" && tanksBucket(v.tx).Get([]byte(name)) == nil {
		if t, found := v.tankCalled(name); found {
			return t.Name
		}
	}
	return name
}

// presently gives what belongs to a tank, or is shared by several, as one of the names that they bear now.
func (v *View) presently(rec Record) Record {
	rec = ofTank(rec, v.present(rec.(tanked).TankName()))
	s, is := rec.(Stock)
	if !is || len(s.Shared) == 0 {
		return rec
	}
	var shared []string
	for _, name := range s.Shared {
		if name = v.present(name); name != s.Tank && !slices.Contains(shared, name) {
			shared = append(shared, name)
		}
	}
	s.Shared = shared
	return s
}

// RenameTank gives a tank another name, in one transaction with all that belongs to it; at is the moment of that.
func (b *Book) RenameTank(from, to string, at time.Time) (renamed Tank, err error) {
	err = b.update(task{}, func(w *writer) bool {
		was := w.tank(from)
		if to == was.Name {
			fail(fmt.Errorf("the tank is called %q already", to))
		}
		if other, found := w.tankCalled(to); found && other.Name != was.Name {
			text := fmt.Sprintf("there is a tank %q already", other.Name)
			if !strings.EqualFold(other.Name, to) {
				text = fmt.Sprintf("%q is a former name of tank %q", to, other.Name)
			}
			fail(&namedError{text, ErrExists})
		}
		renamed = was
		renamed.Name, renamed.Renamed = to, afterBoth(at, was, was)
		renamed = renamed.with(was, false)
		fail(Validate(renamed))
		w.name(renamed, was)
		return true
	})
	return renamed, err
}

// MergeTanks makes one tank of two, in one transaction: what was noted of the first is of the second from then on,
// which keeps its name. Of what both tell of themselves the one noted last counts.
func (b *Book) MergeTanks(from, into string, at time.Time) (one Tank, err error) {
	err = b.update(task{}, func(w *writer) bool {
		a, z := w.tank(from), w.tank(into)
		if a.Name == z.Name {
			fail(fmt.Errorf("%q and %q are names of one tank already", from, into))
		}
		one = z
		one.Renamed = afterBoth(at, a, z)
		w.name(one.with(a, false), z)
		one = w.tank(into)
		w.save.changes, w.save.Defined = nil, []string{definitionName(one)} // nothing tells them apart again
		return true
	})
	return one, err
}

// name notes other names of a tank.
func (w *writer) name(t, was Tank) {
	d := w.derivation()
	w.note(Change{Of: Tank{}.named(t)}, d.of[d.place(was)])
}

// afterBoth is a moment, or the first one after two tanks got their names: of two names the one given last counts.
func afterBoth(at time.Time, a, b Tank) time.Time {
	if last := laterOf(a.Renamed, b.Renamed); !at.After(last) {
		return last.Add(time.Nanosecond)
	}
	return at
}

// CountOf counts the entries of a tank, struck ones included.
func (v *View) CountOf(tank string) (entries int, err error) {
	err = v.inTank(tank, func(number uint32) {
		for _, kind := range EntryKinds() {
			for _, s := range v.eachSeries(kind, number) {
				for range v.eachIn(kind, s, 0, endTime().UnixNano()) {
					entries++
				}
			}
		}
		for _, s := range v.eachStruck() {
			if s.key.tank() == number {
				entries++
			}
		}
	})
	return entries, err
}

// apartTanks names the tanks beside which there is another whose name differs in capital and small letters alone.
func apartTanks(tanks []Tank) []string {
	return gather(slices.DeleteFunc(slices.Clone(tanks), func(t Tank) bool {
		return !slices.ContainsFunc(tanks, func(o Tank) bool {
			return o.Name != t.Name && strings.EqualFold(o.Name, t.Name) &&
				!slices.Contains(o.Was, t.Name) && !slices.Contains(t.Was, o.Name)
		})
	}), func(t Tank) string { return t.Name })
}

func (w *writer) moveDraft(from, to string) {
	d, found := w.draft(from)
	if !found {
		return
	}
	if _, both := w.draft(to); both && w.arriving {
		return // what another noted is not refused for what is being typed here
	} else if both {
		fail(fmt.Errorf("a test day is being typed for %q and another for %q: save or throw away one of them first", from,
			to))
	}
	d.Tank = to
	put(draftsBucket(w.tx), []byte(to), appendDraft(nil, d))
	remove(draftsBucket(w.tx), []byte(from))
}

// moveEntries moves the entries of a tank, struck ones included, to another. They keep their IDs.
func (w *writer) moveEntries(from, to uint32) {
	for _, kind := range EntryKinds() {
		for _, s := range w.eachSeries(kind, from) {
			var ops []op
			for key, value := range w.eachIn(kind, s, 0, endTime().UnixNano()) {
				ops = append(ops, op{kind, key.ofTank(to), bytes.Clone(value)})
			}
			bucket := entryBucket(w.tx, kind)
			if len(ops) > manyRecords {
				bucket.FillPercent = bulkFill
			}
			for _, o := range ops {
				old, id := o.key.ofTank(from), o.key.id()
				remove(bucket, old[:])
				if foreignBucket(w.tx).Get(id[:]) != nil {
					put(foreignBucket(w.tx), id[:], appendAddress(nil, kind, o.key))
				}
			}
			for _, o := range ops {
				put(bucket, o.key[:], o.value)
			}
		}
	}
	var struck []struckValue
	for _, s := range w.eachStruck() {
		if s.key.tank() == from {
			value, _ := unseal(s.key[:], s.sealed)
			s.key = s.key.ofTank(to)
			s.sealed = seal(s.key[:], bytes.Clone(value))
			struck = append(struck, s)
		}
	}
	for _, s := range struck {
		put(struckBucket(w.tx), s.strike.Target[:], appendStruck(s))
	}
}
