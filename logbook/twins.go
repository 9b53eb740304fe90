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
// neither book has any other there. They are two lines and both are kept: whether it was one test only the keeper
// knows.
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
			crowded := i > 0 && p.nanos-rows[i-1].nanos <= int64(twinSpan) ||
				i+1 < len(rows) && rows[i+1].nanos-p.nanos <= int64(twinSpan)
			if !crowded {
				m.findTwin(s, m.batch.row(p.row))
			}
		}
	}
	slices.SortFunc(m.twins, func(a, b Twin) int { return bytes.Compare(a.Ours.ID[:], b.Ours.ID[:]) })
}

func (m *merger) findTwin(s series, theirs *row) {
	if m.theirs.get("struck", theirs.id[:]) != nil || m.get("struck", theirs.id[:]) != nil {
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
	ours := m.reading(key, value)
	if m.theirs.get("struck", ours.ID[:]) != nil || ours.Value != theirs.value || ours.Bound != theirs.bound ||
		ours.Method != m.batch.names[theirs.method] || ours.Who != m.batch.names[theirs.who] {
		return
	}
	if other := m.theirs.kept(theirs.id); other != nil {
		m.twins = append(m.twins, Twin{ours, other.(Reading)})
	}
}

// SameTest is within what time the same number of the same water by the same method looks like one test noted twice:
// two tests take longer, and somebody who notes what is noted already does it at once. Chosen here.
const SameTest = 10 * time.Minute

// Again reports whether a reading looks like another one noted twice.
func (r Reading) Again(other Reading) bool {
	return r.Tank == other.Tank && r.Parameter == other.Parameter && r.Method == other.Method && r.Who == other.Who &&
		r.Value == other.Value && r.Bound == other.Bound &&
		r.Time.Sub(other.Time).Abs() <= SameTest
}

// Twice are how many of the readings that an import adds look like one test noted twice, and the first of them.
type Twice struct {
	N     int
	First Reading
}

// findTwice looks for rows of a series that look like another row, or a reading of the book, noted twice. Where more
// lie so near they come from an instrument that is read all day.
func (im *importer) findTwice(s series, rows []timedRow) {
	near := func(i, j int) bool {
		return i >= 0 && j < len(rows) && rows[j].nanos-rows[i].nanos <= int64(SameTest)
	}
	c := im.entryCursor(KindReading)
	first := newSeriesKey(s.tank, s.subject, 0, ID{})
	k, _ := c.Seek(first[:])
	inBook := bytes.HasPrefix(k, first[:8])
	for i, p := range rows {
		r := im.batch.row(p.row)
		if r.given || near(i, i+1) { // what is given comes from a log, which knows what it holds
			continue
		}
		var old []Reading
		if inBook {
			start := newSeriesKey(s.tank, s.subject, r.nanos-int64(SameTest), ID{})
			end := newSeriesKey(s.tank, s.subject, r.nanos+int64(SameTest)+1, ID{})
			for k, sealed := c.Seek(start[:]); k != nil && bytes.Compare(k, end[:]) < 0 && len(old) < 2; k, sealed = c.Next() {
				old = append(old, im.entry(KindReading, k, sealed).(Reading))
			}
		}
		if near(i-1, i) && !near(i-2, i-1) {
			old = append(old, im.rowReading(rows[i-1]))
		}
		if len(old) == 1 && im.rowReading(p).Again(old[0]) {
			if im.batch.twice.N++; im.batch.twice.N == 1 {
				im.batch.twice.First = im.rowReading(p)
			}
		}
	}
}

// rowReading is a row as a reading, without its note.
func (im *importer) rowReading(p timedRow) Reading {
	r, names := im.batch.row(p.row), im.batch.names
	text, _ := im.batch.textOf(r)
	return Reading{Time: atOffset(time.Unix(0, r.nanos), uint64(r.zone)), Tank: names[r.tank],
		Parameter: names[r.parameter], Method: names[r.method], Who: names[r.who],
		Text: string(text), Unit: names[r.unit], Value: r.value, Bound: r.bound}
}
