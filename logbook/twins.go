package logbook

import (
	"bytes"
	"cmp"
	"slices"
	"time"
)

// Twin is a reading of each book that may be the same test noted on both computers: one stands in ours alone and one in
// theirs alone.
type Twin struct{ Ours, Theirs Reading }

// twinSpan is how far apart in time twins may be: as long as a test day takes.
const twinSpan = time.Hour

// findTwins looks for readings that say the same number of the same water by the same method within twinSpan, where
// neither book has any other there. They are two lines and both are kept: whether it was one test only the keeper knows.
func (m *merger) findTwins() {
	numbers := make([]uint32, len(m.batch.names))
	for i, name := range m.batch.names {
		var known bool
		if numbers[i], known = m.names.find(name); !known {
			numbers[i] = 1<<32 - 1 // no name's number: a series that we have not
		}
	}
	groups := m.group(numbers)
	for s, rows := range groups {
		slices.SortFunc(rows, func(a, b timedRow) int { return cmp.Compare(a.nanos, b.nanos) })
		for i, p := range rows {
			crowded := i > 0 && p.nanos-rows[i-1].nanos <= int64(twinSpan) || i+1 < len(rows) && rows[i+1].nanos-p.nanos <= int64(twinSpan)
			if !crowded {
				m.findTwin(s, m.batch.row(p.row))
			}
		}
	}
	slices.SortFunc(m.twins, func(a, b Twin) int { return bytes.Compare(a.Ours.ID[:], b.Ours.ID[:]) })
}

// findTwin looks for the twin of one of their readings among ours.
func (m *merger) findTwin(s series, theirs *row) {
	if m.theirs.get("struck", theirs.id[:]) != nil {
		return
	}
	start := newSeriesKey(s.tank, s.subject, theirs.nanos-int64(twinSpan), ID{})
	end := newSeriesKey(s.tank, s.subject, theirs.nanos+int64(twinSpan)+1, ID{})
	c := m.entryCursor(KindReading)
	k, sealed := c.Seek(start[:])
	if k == nil || bytes.Compare(k, end[:]) >= 0 {
		return
	}
	key, value := unsealEntry(KindReading, k, sealed)
	if next, _ := c.Next(); next != nil && bytes.Compare(next, end[:]) < 0 || key.id() == theirs.id {
		return
	}
	ours := m.reading(key, value, m.batch.names[theirs.tank], m.batch.names[theirs.parameter])
	if ours.Value != theirs.value || ours.Bound != theirs.bound || ours.Method != m.batch.names[theirs.method] {
		return
	}
	if other := m.theirs.kept(theirs.id); other != nil {
		m.twins = append(m.twins, Twin{ours, other.(Reading)})
	}
}
