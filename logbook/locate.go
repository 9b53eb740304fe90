package logbook

import "time"

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

// find is locate for an entry that may not be there. An ID holds the millisecond of its entry, so every series is looked
// up at that moment; IDs that came from elsewhere have a bucket of their own.
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
