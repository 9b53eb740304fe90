package logbook

import (
	"maps"
	"time"
)

// Values are the fields of a record in the order in which its method fields lists them. What stands in the key is not
// repeated: the tank, time and ID of an entry, the parameter of a reading, the names of a definition. The offset of the
// time opens the value of every entry.

// readingValue holds a reading as it lies in the book, with numbers in place of names. It points into the book's
// pages where it can.
type readingValue struct {
	zone         uint64
	bound        Bound
	value        float64
	unit, method uint32
	text, note   []byte
	who          uint32 // written only where it is told
}

// appendReading is the hot path of an import: no allocation but for the slice itself.
func appendReading(b []byte, v readingValue) []byte {
	w := fieldWriter{b}
	w.uint(v.zone)
	w.uint(uint64(v.bound))
	w.float(v.value)
	w.uint(uint64(v.unit))
	w.uint(uint64(v.method))
	w.uint(uint64(len(v.text)))
	w.b = append(w.b, v.text...)
	w.uint(uint64(len(v.note)))
	w.b = append(w.b, v.note...)
	if v.who != 0 {
		w.uint(uint64(v.who))
	}
	return w.b
}

func readReading(b []byte) (readingValue, error) {
	r := fieldReader{b: b}
	v := readingValue{
		zone:   r.uint(),
		bound:  Bound(r.uint()),
		value:  r.float(),
		unit:   uint32(r.uint()),
		method: uint32(r.uint()),
		text:   r.bytes(),
		note:   r.bytes(),
	}
	if r.more() {
		v.who = uint32(r.uint())
	}
	return v, r.err
}

// appendEntry writes the value of an entry; number gives the number of a name.
func appendEntry(b []byte, e Entry, number func(name string) uint32) []byte {
	r, ok := e.(Reading)
	if !ok {
		w := valueWriter{fieldWriter: fieldWriter{b}}
		e.fields(&w)
		return w.b
	}
	return appendReading(b, readingValue{zoneOf(r.Time), r.Bound, r.Value, number(r.Unit), number(r.Method),
		[]byte(r.Text), []byte(r.Note), number(r.Who)})
}

func readEntry(kind Kind, k seriesKey, value []byte, name func(number uint32) string) (Entry, error) {
	tank := name(k.tank())
	if kind == KindReading {
		v, err := readReading(value)
		if err != nil {
			return nil, err
		}
		return readingOf(k, v, tank, name(k.subject()), name), nil
	}
	r := valueReader{fieldReader: fieldReader{b: value}, series: k, tank: tank}
	return blank(kind).fields(&r).(Entry), r.err
}

func readingOf(k seriesKey, v readingValue, tank, parameter string, name func(uint32) string) Reading {
	return Reading{
		ID: k.id(), Time: atOffset(time.Unix(0, k.nanos()), v.zone), Tank: tank, Parameter: parameter,
		Text: string(v.text), Unit: name(v.unit), Bound: v.bound, Value: v.value, Method: name(v.method),
		Note: string(v.note), Who: name(v.who),
	}
}

func appendDefinition(rec Record) (key, value []byte) {
	var w valueWriter
	rec.fields(&w)
	if w.names[firstKey] != "" {
		return pairKey(w.names[firstKey], w.names[secondKey]), w.b
	}
	return []byte(w.names[onlyKey]), w.b
}

// readDefinition reads a definition of a kind, and gives the pair of names of its key; of a key of one name the second
// is "".
func readDefinition(kind Kind, key, value []byte) (rec Record, names [2]string, err error) {
	r := valueReader{fieldReader: fieldReader{b: value}, definitionKey: key}
	rec = blank(kind).fields(&r)
	return rec, r.names, r.err
}

// valueWriter writes the fields of a record one after the other into a value. What stands in the key it leaves out.
type valueWriter struct {
	inOrder
	fieldWriter
	names [3]string // of the key of a definition, by keyPart
}

func (w *valueWriter) key(at keyPart, _, _ string, s *string, _ rule) { w.names[at] = *s }
func (w *valueWriter) entry(_ *ID, t *time.Time, _ *string)           { w.uint(zoneOf(*t)) }
func (w *valueWriter) value(*Reading)                                 {} // see appendReading
func (w *valueWriter) text(_, _ string, s *string, _ rule)            { w.fieldWriter.text(*s) }
func (w *valueWriter) texts(_, _ string, ss *[]string, _ rule)        { w.fieldWriter.texts(*ss) }
func (w *valueWriter) number(_, _ string, f *float64, _ rule)         { w.float(*f) }
func (w *valueWriter) numbers(_, _ string, fs *[]float64)             { writeAll(&w.fieldWriter, *fs, w.float) }
func (w *valueWriter) count(_ string, n *int)                         { w.int(int64(*n)) }
func (w *valueWriter) yes(_ string, b *bool)                          { w.bool(*b) }

func (w *valueWriter) maybe(_, _ string, f **float64, _ rule) {
	if w.bool(*f != nil); *f != nil {
		w.float(**f)
	}
}

// moment writes a time whole; the zero time is kept as such.
func (w *valueWriter) moment(_, _ string, t *time.Time, _ rule) {
	if w.bool(!t.IsZero()); !t.IsZero() {
		w.int(t.Unix())
		w.uint(uint64(t.Nanosecond()))
		w.uint(zoneOf(*t))
	}
}

func (w *valueWriter) id(_ string, id *ID, r rule) {
	if !r.is(inKey) {
		w.b = append(w.b, id[:]...)
	}
}

func (w *valueWriter) each(_, _ string, parameters []string, fields func(int, string)) {
	w.uint(uint64(len(parameters)))
	for i, parameter := range parameters {
		w.fieldWriter.text(parameter)
		fields(i, parameter)
	}
}

func (w *valueWriter) group(fields func()) {
	at := len(w.b)
	w.uint(0) // the count, which is less than 128 and so one byte
	fields()
	w.b[at] = byte((len(w.b) - at - 1) / 8)
}

func (w *valueWriter) last(set bool, fields func()) func() {
	if !set {
		return func() {}
	}
	return fields
}

// valueReader reads what a valueWriter wrote, and what stands in the key.
type valueReader struct {
	inOrder
	fieldReader
	series        seriesKey // of an entry
	tank          string    // of an entry
	definitionKey []byte    // the key of a definition
	names         [2]string // the names in it

	grouped bool
	rest    []float64 // of the group
}

func (r *valueReader) value(*Reading)                          {}
func (r *valueReader) text(_, _ string, s *string, _ rule)     { *s = r.fieldReader.text() }
func (r *valueReader) texts(_, _ string, ss *[]string, _ rule) { *ss = r.fieldReader.texts() }
func (r *valueReader) numbers(_, _ string, fs *[]float64)      { *fs = r.floats() }
func (r *valueReader) count(_ string, n *int)                  { *n = int(r.int()) }
func (r *valueReader) yes(_ string, b *bool)                   { *b = r.bool() }

func (r *valueReader) maybe(_, _ string, f **float64, _ rule) {
	if r.bool() {
		n := r.float()
		*f = &n
	}
}

func (r *valueReader) moment(_, _ string, t *time.Time, _ rule) {
	if r.bool() {
		seconds, nanos := r.int(), r.uint()
		*t = atOffset(time.Unix(seconds, int64(nanos%1e9)), r.uint())
	}
}

func (r *valueReader) key(at keyPart, _, _ string, s *string, _ rule) {
	ok := true
	if r.names[0] = string(r.definitionKey); at != onlyKey {
		r.names[0], r.names[1], ok = splitPair(r.definitionKey)
	}
	if !ok {
		r.fail()
	}
	*s = r.names[max(at, firstKey)-firstKey]
}

func (r *valueReader) entry(id *ID, t *time.Time, tank *string) {
	*id, *tank = r.series.id(), r.tank
	*t = atOffset(time.Unix(0, r.series.nanos()), r.uint())
}

func (r *valueReader) number(_, _ string, f *float64, _ rule) {
	if !r.grouped {
		*f = r.float()
	} else if len(r.rest) > 0 {
		*f, r.rest = r.rest[0], r.rest[1:]
	}
}

func (r *valueReader) group(fields func()) {
	r.rest, r.grouped = r.floats(), true
	fields()
	r.grouped = false
}

func (r *valueReader) id(_ string, id *ID, is rule) {
	if is.is(inKey) {
		return
	}
	copy(id[:], r.take(len(id)))
}

func (r *valueReader) each(_, _ string, _ []string, fields func(int, string)) {
	n := r.uint()
	for i := 0; uint64(i) < n && r.more(); i++ {
		fields(i, r.fieldReader.text())
	}
}

func (r *valueReader) last(_ bool, fields func()) func() {
	return func() {
		if r.more() {
			fields()
		}
	}
}

// struckValue is what the struck bucket keeps of an entry: the entry as it stood, checksum included, and the strike.
type struckValue struct {
	kind   Kind
	key    seriesKey
	sealed []byte
	strike Strike
}

func appendStruck(s struckValue) []byte {
	w := valueWriter{fieldWriter: fieldWriter{appendAddress(nil, s.kind, s.key)}}
	w.fieldWriter.text(string(s.sealed))
	s.strike.fields(&w)
	return w.b
}

func readStruck(id ID, value []byte) (struckValue, error) {
	r := valueReader{fieldReader: fieldReader{b: value}}
	var s struckValue
	s.kind, s.key = readAddress(&r.fieldReader)
	s.sealed = r.bytes()
	s.strike = Strike{Target: id}.fields(&r).(Strike)
	return s, r.err
}

// readAddress reads where an entry lies: its kind and key.
func readAddress(r *fieldReader) (Kind, seriesKey) {
	kind, known := numberedKind(byte(r.uint()))
	key, ok := seriesKeyOf(r.take(len(seriesKey{})))
	if !known || !ok {
		r.fail()
	}
	return kind, key
}

func appendAddress(b []byte, kind Kind, key seriesKey) []byte {
	w := fieldWriter{b}
	w.uint(uint64(kindNumber(kind)))
	return append(w.b, key[:]...)
}

// The time of the test lies among the fields of a draft, under a name that no parameter can have: a draft without one
// is written as it was before there was a time, and a program that knows none reads past it. Drafts of before have
// another.
const (
	draftWhen    = ""
	draftWhenOld = "\x00when"
)

func appendDraft(b []byte, d Draft) []byte {
	if d.When != "" {
		d.Fields = maps.Clone(d.Fields)
		if d.Fields == nil {
			d.Fields = map[string]DraftField{}
		}
		d.Fields[draftWhen] = DraftField{Text: d.When}
	}
	w := valueWriter{fieldWriter: fieldWriter{b}}
	d.visit(&w)
	return w.b
}

func readDraft(tank string, value []byte) (Draft, error) {
	r := valueReader{fieldReader: fieldReader{b: value}}
	d := Draft{Tank: tank, Fields: map[string]DraftField{}}
	d.visit(&r)
	for _, name := range []string{draftWhen, draftWhenOld} {
		if f, ok := d.Fields[name]; ok {
			d.When = f.Text
			delete(d.Fields, name)
		}
	}
	return d, r.err
}
