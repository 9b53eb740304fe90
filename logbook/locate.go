package logbook

import (
	"slices"
	"strings"
	"time"
)

// Entry gives the entry of an ID. ErrNotFound says if it was struck, by whom and why.
func (v *View) Entry(id ID) (Entry, error) {
	return ask(v, func() Entry {
		if v.get("struck", id[:]) != nil {
			fail(v.struckError(id))
		}
		return v.entryAt(v.locate(id))
	})
}

func (v *View) entryAt(kind Kind, key seriesKey) Entry {
	return v.entry(kind, key[:], v.get(string(kind), key[:]))
}

// locate finds where the entry of an ID lies. ErrNotFound if there is none.
func (v *View) locate(id ID) (Kind, seriesKey) {
	kind, key, found := v.find(id)
	if !found {
		fail(noEntry(id))
	}
	return kind, key
}

func noEntry(id ID) error { return notFound("there is no entry %s", id) }

// find is locate for an entry that may not be there. An ID holds the millisecond of its entry, so every series is
// looked up at that moment; IDs that came from elsewhere have a bucket of their own.
func (v *View) find(id ID) (kind Kind, key seriesKey, found bool) {
	if sealed := v.get("foreign", id[:]); sealed != nil {
		r := fieldReader{b: mustUnseal(id[:], sealed, "the place of entry %s cannot be read", id)}
		if kind, key = readAddress(&r); r.err != nil {
			fail(damaged("the place of entry %s: %v", id, r.err))
		}
		return kind, key, true
	}
	if id.milliseconds() > endTime().UnixMilli() {
		return "", key, false
	}
	first := id.milliseconds() * int64(time.Millisecond)
	for _, kind := range EntryKinds() {
		c := v.entryCursor(kind)
		for _, s := range v.eachSeries(kind, 0) {
			start := newSeriesKey(s.tank, s.subject, first, ID{})
			for k, _ := c.Seek(start[:]); k != nil; k, _ = c.Next() {
				key, ok := seriesKeyOf(k)
				if !ok || !key.within(s, first+int64(time.Millisecond)-1) {
					break
				}
				if key.id() == id {
					return kind, key, true
				}
			}
		}
	}
	return "", key, false
}

// Kept gives the entry of an ID, whether it stands or was struck. ErrNotFound if there is none.
func (v *View) Kept(id ID) (Entry, error) {
	return ask(v, func() Entry {
		e := v.kept(id)
		if e == nil {
			fail(noEntry(id))
		}
		return e
	})
}

// TestDay gives the readings of a tank at one moment, in the order of Parameters.
func (v *View) TestDay(tank string, at time.Time) (day []Reading, err error) {
	measured, err := v.Measured(tank)
	for _, p := range measured {
		rs, err := v.Readings(tank, p, at, at)
		if err != nil {
			return nil, err
		}
		day = append(day, rs...)
	}
	return day, err
}

// Newest gives the last n entries that stand, the last one first: in the order in which they were noted, as far as the
// saves tell, and then by their own time. Behind a save of more lines than the book keeps for it nothing is known of
// the order, and nothing is given. Tank "" means of every tank.
func (v *View) Newest(tank string, n int) ([]Entry, error) {
	return ask(v, func() (newest []Entry) {
		seen := map[ID]bool{}
		take := func(e Entry) {
			if e != nil && len(newest) < n && !seen[e.EntryID()] && (tank == "" || e.TankName() == tank) {
				seen[e.EntryID()] = true
				newest = append(newest, e)
			}
		}
		for _, s := range v.saves() {
			if s.Many {
				return newest
			}
			for _, id := range slices.Backward(s.Noted) {
				if len(newest) < n {
					stands, _ := v.standing(id)
					take(stands)
				}
			}
		}
		var rest []Entry
		for _, kind := range EntryKinds() {
			number, _ := v.names.find(tank)
			if len(newest) == n || tank != "" && number == 0 {
				break
			}
			for _, s := range v.eachSeries(kind, number) {
				for key, value := range v.lastIn(kind, s, lastNanos(time.Time{}), n) {
					rest = append(rest, v.entryOf(kind, key, value))
				}
			}
		}
		slices.SortStableFunc(rest, func(a, b Entry) int { return b.When().Compare(a.When()) })
		for _, e := range rest {
			take(e)
		}
		return newest
	})
}

// leastTail is how many letters and digits of an ID a person is shown at least, and mostTail how many at most unless
// lines that are shown together need more.
const (
	leastTail = 4
	mostTail  = 6
)

// Tails are the ends of IDs for people, all of one length: the more entries the book has, the longer, and long enough
// that those shown together and those of the last saves differ.
func (v *View) Tails(ids []ID) ([]string, error) {
	return ask(v, func() []string {
		n, entries := leastTail, keyCount(struckBucket(v.tx))
		for _, kind := range EntryKinds() {
			entries += keyCount(entryBucket(v.tx, kind))
		}
		for entries >>= 10; entries > 0 && n < mostTail; entries >>= 5 {
			n++
		}
		apart := map[ID]bool{}
		for _, s := range v.saves() {
			for _, id := range s.Noted {
				apart[id] = true
			}
		}
		for _, id := range ids {
			apart[id] = true
		}
		for ; n < len(ID{}.String()); n++ {
			tails := map[string]bool{}
			for id := range apart {
				tails[id.tail(n)] = true
			}
			if len(tails) == len(apart) {
				break
			}
		}
		tails := make([]string, len(ids))
		for i, id := range ids {
			tails[i] = id.tail(n)
		}
		return tails
	})
}

func (id ID) tail(n int) string {
	text := id.String()
	return text[len(text)-n:]
}

// Ending gives the IDs that end in some letters and digits, in any case, at most a few of them: those of the entries
// that stand and of those that were struck. It reads the key of every entry.
func (v *View) Ending(tail string) ([]ID, error) {
	const most = 5
	tail = strings.ToUpper(tail)
	return ask(v, func() (found []ID) {
		take := func(id ID) {
			if len(found) < most && strings.HasSuffix(id.String(), tail) {
				found = append(found, id)
			}
		}
		for _, kind := range EntryKinds() {
			c := v.entryCursor(kind)
			for k, _ := c.First(); k != nil; k, _ = c.Next() {
				take(entryKey(kind, k).id())
			}
		}
		for e := range v.eachStruck() {
			take(e.EntryID())
		}
		return found
	})
}
