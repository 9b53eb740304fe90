package logbook

import (
	"fmt"
	"time"
)

// Entry gives the entry of an ID. ErrNotFound says if it was struck, by whom and why.
func (v *View) Entry(id ID) (e Entry, err error) {
	err = v.guarded(func() error {
		if v.get("struck", id[:]) != nil {
			return v.struckError(id)
		}
		kind, key, err := v.locate(id)
		if err != nil {
			return err
		}
		e, err = v.entry(kind, key[:], v.get(string(kind), key[:]))
		return err
	})
	return e, err
}

// locate finds where the entry of an ID lies. An ID holds the millisecond of its entry, so every series is looked up
// at that moment; IDs that came from elsewhere have a bucket of their own.
func (v *View) locate(id ID) (Kind, seriesKey, error) {
	if sealed := v.get("foreign", id[:]); sealed != nil {
		value, ok := unseal(id[:], sealed)
		if !ok {
			return "", seriesKey{}, fmt.Errorf("%w: the place of entry %s cannot be read", ErrDamaged, id)
		}
		r := fieldReader{b: value}
		kind, key := readAddress(&r)
		if r.err != nil {
			return "", seriesKey{}, fmt.Errorf("%w: the place of entry %s: %v", ErrDamaged, id, r.err)
		}
		return kind, key, nil
	}
	first := id.milliseconds() * int64(time.Millisecond)
	if id.milliseconds() > endTime().UnixMilli() {
		return "", seriesKey{}, notFound("there is no entry %s", id)
	}
	for _, kind := range entryKinds() {
		all, err := v.eachSeries(kind, 0)
		if err != nil {
			return "", seriesKey{}, err
		}
		c := v.entryCursor(kind)
		for _, s := range all {
			start := newSeriesKey(s.tank, s.subject, first, ID{})
			for k, _ := c.Seek(start[:]); k != nil; k, _ = c.Next() {
				key, ok := seriesKeyOf(k)
				if !ok || !key.within(s, first+int64(time.Millisecond)-1) {
					break
				}
				if key.id() == id {
					return kind, key, nil
				}
			}
		}
	}
	return "", seriesKey{}, notFound("there is no entry %s", id)
}
