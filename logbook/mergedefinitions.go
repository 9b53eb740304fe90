package logbook

import (
	"bytes"
	"cmp"
	"maps"
	"strconv"
	"strings"
)

// definitions takes the other book's, those that belong to a tank after the tanks.
func (m *merger) definitions() error {
	ours := map[string]Record{}
	err := m.eachDefinition(func(rec Record) error {
		ours[definitionName(rec)] = rec
		return nil
	})
	if err != nil {
		return err
	}
	return m.theirs.eachDefinition(func(theirs Record) error {
		rec := theirs
		if own, both := ours[definitionName(theirs)]; both {
			rec = m.joined(own, theirs)
		}
		changed, err := m.define(rec)
		if err != nil {
			return err
		}
		m.count(rec.Kind(), changed)
		return nil
	})
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
// long the one that comes later in the alphabet. A tank is joined field by field, and each band on its own, so that a
// band set here and another set there both stand; of two volumes the smaller counts, by which less is dosed. What
// differed is noted.
func (m *merger) joined(ours, theirs Record) Record {
	a, is := ours.(Tank)
	if !is {
		taken := fuller(ours, theirs, lineOf)
		m.note(ours.Kind(), definitionName(ours), lineOf(ours), lineOf(theirs), lineOf(taken))
		return taken
	}
	b := theirs.(Tank)
	name := definitionName(ours)
	text := func(what, x, y string) string {
		taken := fuller(x, y, func(s string) string { return s })
		if x != "" && y != "" {
			m.note(KindTank, name+", "+what, x, y, taken)
		}
		return taken
	}
	t := Tank{Name: a.Name, VolumeL: m.volume(name, a.VolumeL, b.VolumeL),
		Timezone: text("time zone", a.Timezone, b.Timezone), Since: text("since", a.Since, b.Since), About: text("about", a.About, b.About),
		Order: fuller(a.Order, b.Order, func(o Order) string { return strings.Join(o, ", ") })}
	if len(a.Order) > 0 && len(b.Order) > 0 {
		m.note(KindTank, name+", order", strings.Join(a.Order, ", "), strings.Join(b.Order, ", "), strings.Join(t.Order, ", "))
	}
	if len(a.Bands)+len(b.Bands) > 0 {
		t.Bands = maps.Clone(b.Bands)
		if t.Bands == nil {
			t.Bands = map[string]Band{}
		}
	}
	for _, parameter := range sortedKeys(a.Bands) {
		band := a.Bands[parameter]
		if other, both := b.Bands[parameter]; both {
			band = fuller(band, other, bandText)
			m.note(KindTank, name+", band of "+parameter, bandText(a.Bands[parameter]), bandText(other), bandText(band))
		}
		t.Bands[parameter] = band
	}
	return t
}

func (m *merger) volume(name string, ours, theirs float64) float64 {
	if ours == 0 || theirs == 0 {
		return max(ours, theirs)
	}
	taken := min(ours, theirs)
	litres := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) + " L" }
	m.note(KindTank, name+", volume", litres(ours), litres(theirs), litres(taken))
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

// bandText is a band as an export writes it.
func bandText(b Band) string {
	var l jsonLine
	l.b = append(l.b, '{')
	b.fields(&l, "")
	l.close('}')
	return string(bytes.TrimSuffix(l.b, []byte(",")))
}
