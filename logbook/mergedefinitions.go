package logbook

import "cmp"

// definitions takes the other book's, those that belong to a tank after the tanks.
func (m *merger) definitions() {
	ours := map[string]Record{}
	for _, rec := range m.allDefinitions() {
		ours[definitionName(rec)] = rec
	}
	for _, rec := range m.theirs.allDefinitions() {
		if own, both := ours[definitionName(rec)]; both {
			rec = m.joined(own, rec)
		}
		m.count(rec.Kind(), m.define(rec))
	}
}

// definitionName says which definition it is, in words.
func definitionName(rec Record) string {
	var w valueWriter
	rec.fields(&w)
	name := string(rec.Kind()) + " " + w.names[onlyKey] + w.names[secondKey]
	switch _, of := rec.(tanked); {
	case of:
		return name + " of tank " + w.names[firstKey]
	case w.names[firstKey] != "":
		return name + " for " + w.names[firstKey]
	}
	return name
}

// joined makes one definition of two. A definition carries no time, so the rule can only be one that says the same
// whichever book is asked: the one that says more, which is the one whose line in an export is longer, and of two as
// long the one that comes later in the alphabet. A tank is joined field by field, see Tank.joined. What differed is
// noted.
func (m *merger) joined(ours, theirs Record) Record {
	name := definitionName(ours)
	if a, is := ours.(Tank); is {
		return a.joined(theirs.(Tank), func(what, x, y, taken string) { m.note(KindTank, name+", "+what, x, y, taken) })
	}
	taken := fuller(ours, theirs, lineOf)
	m.note(ours.Kind(), name, lineOf(ours), lineOf(theirs), lineOf(taken))
	return taken
}

// note notes a difference, if there is one.
func (m *merger) note(kind Kind, what, ours, theirs, taken string) {
	if ours != theirs {
		m.differ = append(m.differ, Difference{kind, what, ours, theirs, taken})
	}
}

// fuller gives the one whose text is longer, or comes later.
func fuller[T any](a, b T, text func(T) string) T {
	x, y := text(a), text(b)
	if cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(x, y)) < 0 {
		return b
	}
	return a
}
