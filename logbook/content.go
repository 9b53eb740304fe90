package logbook

import "time"

// derivedRepeats is how many repeats are tried to tell whether an ID was derived from what its entry says. An ID with
// a higher one is kept in the foreign bucket like any other; that costs a little room and nothing else.
const derivedRepeats = 4

// appendContent writes what an entry says, as the text its ID is derived from: everything as typed, and so neither the
// ID nor a reading's canonical value. It must give the same bytes for ever: a field that is added later is written
// only where it is set.
func appendContent(b []byte, e Entry) []byte {
	if r, ok := e.(Reading); ok {
		return appendReadingContent(b, r.Tank, r.Parameter, r.Time.UnixNano(), zoneOf(r.Time), r.Text, r.Unit, r.Method,
			r.Note, r.Who)
	}
	w := fieldWriter{b}
	w.text(string(e.Kind()))
	w.text(e.TankName())
	w.int(e.When().UnixNano())
	return appendEntry(w.b, e, nil) // it looks up names for readings alone
}

func appendReadingContent(b []byte, tank, parameter string, nanos int64, zone uint64, text, unit, method, note,
	who string) []byte {
	w := fieldWriter{b}
	w.text(string(KindReading))
	w.text(tank)
	w.int(nanos)
	w.uint(zone)
	w.text(parameter)
	w.text(text)
	w.text(unit)
	w.text(method)
	w.text(note)
	if who != "" {
		w.text(who)
	}
	return w.b
}

// isDerived reports whether the ID of an entry comes from the entry itself.
func isDerived(e Entry, content []byte) bool {
	for repeat := range derivedRepeats {
		if e.EntryID() == deriveID(e.When().UnixMilli(), content, repeat) {
			return true
		}
	}
	return false
}

// subjectOf is the name that the series of an entry bears beside the tank's.
func subjectOf(e Entry) string {
	switch e := e.(type) {
	case Reading:
		return e.Parameter
	case Dosing:
		return string(pairKey(e.Parameter, e.Supplement))
	case Refill:
		return e.Stock
	}
	return ""
}

// teller is the visitor that reads who noted an entry, or sets it.
type teller struct {
	checker
	who string
	set bool
}

func (t *teller) text(name, what string, s *string, r rule) {
	switch {
	case name != "who":
	case t.set:
		*s = t.who
	default:
		t.who = *s
	}
}

// Who is who noted an entry; "" where it does not tell.
func Who(e Entry) string {
	var t teller
	e.fields(&t)
	return t.who
}

// ByWhom gives a copy of an entry that tells who noted it, unless it does already.
func ByWhom(e Entry, who string) Entry {
	if who == "" || Who(e) != "" {
		return e
	}
	return e.fields(&teller{who: who, set: true}).(Entry)
}

// identity is the visitor that gives an entry its ID, time and tank, and a definition that belongs to a tank its tank;
// else it does as another, which changes nothing.
type identity struct {
	visitor
	as   ID
	at   time.Time
	tank string
}

func (i identity) entry(id *ID, at *time.Time, tank *string) { *id, *at, *tank = i.as, i.at, i.tank }

func (i identity) key(at keyPart, _, _ string, s *string, _ rule) {
	if at == firstKey {
		*s = i.tank
	}
}

func withID(e Entry, id ID) Entry {
	return e.fields(identity{&checker{}, id, e.When(), e.TankName()}).(Entry)
}

// Moved gives a copy of an entry, without an ID, that is of another tank or another time.
func Moved(e Entry, tank string, at time.Time) Entry {
	return e.fields(identity{&checker{}, ID{}, at, tank}).(Entry)
}

// ofTank gives what belongs to a tank as one of the tank of another name.
func ofTank(rec Record, name string) Record {
	as := identity{visitor: &checker{}, tank: name}
	if e, is := rec.(Entry); is {
		as.as, as.at = e.EntryID(), e.When()
	}
	return rec.fields(as)
}

// nanosecondsOf turns the ends of a window into key times: the zero time leaves an end open.
func nanosecondsOf(from, to time.Time) (first, last int64) {
	last = endTime().UnixNano()
	if from.After(firstTime()) {
		first = last // nothing is as late as that
		if from.Before(endTime()) {
			first = from.UnixNano()
		}
	}
	if !to.IsZero() && to.Before(endTime()) {
		last = -1 // nothing is as early as that
		if !to.Before(firstTime()) {
			last = to.UnixNano()
		}
	}
	return first, last
}

// lastNanos is the key time of the end of a window.
func lastNanos(to time.Time) int64 {
	_, last := nanosecondsOf(time.Time{}, to)
	return last
}
