package logbook

import "cmp"

// definitions takes the other book's, those that belong to a tank after the tanks.
func (m *merger) definitions() {
	for _, d := range definitions() {
		ours := map[string]Record{}
		for _, rec := range m.definitionsOf(d.Kind(), "") {
			ours[definitionName(rec)] = rec
		}
		for _, rec := range m.theirs.definitionsOf(d.Kind(), "") {
			if t, is := rec.(Tank); is { // it may be one of ours under another name, or several
				same := m.sameTanks(t)
				for _, own := range same {
					t = own.joined(t, m.noteTank(own))
				}
				m.count(KindTank, m.putTank(t, same, m.joined))
				continue
			}
			if _, is := rec.(tanked); is {
				rec = m.presently(rec)
			}
			if own, both := ours[definitionName(rec)]; both {
				rec = m.joined(own, rec)
			}
			m.count(rec.Kind(), m.define(rec))
		}
	}
}

// noteTank notes what two tanks, or two books of one, tell differently.
func (m *merger) noteTank(own Tank) func(what, ours, theirs, taken string) {
	return func(what, ours, theirs, taken string) {
		m.note(KindTank, "tank "+own.Name+", "+what, ours, theirs, taken)
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
	taken := fuller(ours, theirs, lineOf)
	m.note(ours.Kind(), definitionName(ours), lineOf(ours), lineOf(theirs), lineOf(taken))
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
