package logbook

import (
	"maps"
	"time"
)

// Values are the fields of a record in the order written here. What stands in the key is not repeated: the tank, time
// and ID of an entry, the parameter of a reading. The offset of the time opens the value of every entry.

// readingValue holds a reading as it lies in the book, with numbers in place of names. It points into the book's
// pages where it can.
type readingValue struct {
	zone         uint64
	bound        Bound
	value        float64
	unit, method uint32
	text, note   []byte
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
	return v, r.err
}

// appendEntry writes the value of an entry; number gives the number of a name.
func appendEntry(b []byte, e Entry, number func(name string) (uint32, error)) ([]byte, error) {
	if r, ok := e.(Reading); ok {
		unit, err := number(r.Unit)
		if err != nil {
			return nil, err
		}
		method, err := number(r.Method)
		if err != nil {
			return nil, err
		}
		return appendReading(b, readingValue{zoneOf(r.Time), r.Bound, r.Value, unit, method, []byte(r.Text), []byte(r.Note)}), nil
	}
	w := fieldWriter{b}
	w.uint(zoneOf(e.When()))
	switch e := e.(type) {
	case Dosing:
		w.text(e.Parameter)
		w.float(e.PerDay)
		w.text(e.Unit)
		w.text(e.Supplement)
		w.text(e.Note)
	case Dose:
		w.text(e.Parameter)
		w.float(e.Amount)
		w.text(e.Unit)
		w.text(e.Supplement)
		w.text(e.Note)
	case WaterChange:
		w.float(e.Fraction)
		w.uint(uint64(len(e.New)))
		for _, parameter := range sortedKeys(e.New) {
			w.text(parameter)
			w.float(e.New[parameter].Value)
			w.text(e.New[parameter].Unit)
		}
		w.text(e.Note)
	case Event:
		w.texts(e.Tags)
		w.text(e.Subject)
		w.text(e.Text)
	case ChoreDone:
		w.text(e.Chore)
		w.text(e.Note)
	case Acknowledgement:
		w.text(e.Parameter)
		w.text(e.Rule)
		w.moment(e.Until)
		w.text(e.Note)
		if e.Subject != "" {
			w.text(e.Subject)
		}
	case Refill:
		w.text(e.Stock)
		w.float(e.Amount)
		w.text(e.Expires)
		w.text(e.Note)
	}
	return w.b, nil
}

// readEntry reads an entry of any kind. name gives the name of a number.
func readEntry(kind Kind, k seriesKey, value []byte, name func(number uint32) (string, error)) (Entry, error) {
	tank, err := name(k.tank())
	if err != nil {
		return nil, err
	}
	if kind == KindReading {
		parameter, err := name(k.subject())
		if err != nil {
			return nil, err
		}
		return readingOf(k, value, tank, parameter, name)
	}
	r := fieldReader{b: value}
	when := atOffset(time.Unix(0, k.nanos()), r.uint())
	var e Entry
	switch kind {
	case KindDosing:
		e = Dosing{k.id(), when, tank, r.text(), r.float(), r.text(), r.text(), r.text()}
	case KindDose:
		e = Dose{k.id(), when, tank, r.text(), r.float(), r.text(), r.text(), r.text()}
	case KindWaterChange:
		e = WaterChange{k.id(), when, tank, r.float(), readAmounts(&r), r.text()}
	case KindEvent:
		e = Event{k.id(), when, tank, r.texts(), r.text(), r.text()}
	case KindChoreDone:
		e = ChoreDone{k.id(), when, tank, r.text(), r.text()}
	case KindAcknowledgement:
		a := Acknowledgement{ID: k.id(), Time: when, Tank: tank, Parameter: r.text(), Rule: r.text(), Until: r.moment(), Note: r.text()}
		if r.more() {
			a.Subject = r.text()
		}
		e = a
	case KindRefill:
		e = Refill{k.id(), when, tank, r.text(), r.float(), r.text(), r.text()}
	}
	return e, r.err
}

func readAmounts(r *fieldReader) map[string]Amount {
	n := r.uint()
	if n == 0 {
		return nil
	}
	amounts := map[string]Amount{}
	for i := uint64(0); i < n && r.more(); i++ {
		parameter := r.text()
		amounts[parameter] = Amount{r.float(), r.text()}
	}
	return amounts
}

// readingOf makes a whole reading of a key and a value.
func readingOf(k seriesKey, value []byte, tank, parameter string, name func(uint32) (string, error)) (Reading, error) {
	v, err := readReading(value)
	if err != nil {
		return Reading{}, err
	}
	unit, err := name(v.unit)
	if err != nil {
		return Reading{}, err
	}
	method, err := name(v.method)
	if err != nil {
		return Reading{}, err
	}
	return Reading{
		ID: k.id(), Time: atOffset(time.Unix(0, k.nanos()), v.zone), Tank: tank, Parameter: parameter,
		Text: string(v.text), Unit: unit, Bound: v.bound, Value: v.value, Method: method, Note: string(v.note),
	}, nil
}

func appendTank(b []byte, t Tank) []byte {
	w := fieldWriter{b}
	w.float(t.VolumeL)
	w.text(t.Timezone)
	w.text(t.Since)
	w.text(t.About)
	w.uint(uint64(len(t.Bands)))
	for _, parameter := range sortedKeys(t.Bands) {
		band := t.Bands[parameter]
		w.text(parameter)
		w.optional(band.Low)
		w.optional(band.High)
		w.optional(band.Floor)
		w.text(band.Unit)
		w.optional(band.EveryDays)
	}
	if len(t.Order) > 0 {
		w.texts(t.Order)
	}
	return w.b
}

func readTank(name string, value []byte) (Tank, error) {
	r := fieldReader{b: value}
	t := Tank{Name: name, VolumeL: r.float(), Timezone: r.text(), Since: r.text(), About: r.text()}
	n := r.uint()
	for i := uint64(0); i < n && r.more(); i++ {
		if t.Bands == nil {
			t.Bands = map[string]Band{}
		}
		parameter := r.text()
		t.Bands[parameter] = Band{r.optional(), r.optional(), r.optional(), r.text(), r.optional()}
	}
	if r.more() {
		t.Order = r.texts()
	}
	return t, r.err
}

func appendParameter(b []byte, p Parameter) []byte {
	w := fieldWriter{b}
	w.text(p.Code)
	w.text(p.Unit)
	w.int(int64(p.Digits))
	w.floats([]float64{p.Min, p.Max, p.AskLow, p.AskHigh, p.EveryDays, p.MaxRise, p.MaxFall, p.Wobble})
	w.bool(p.Nutrient)
	w.text(p.Generic.Name)
	w.text(p.Generic.Parameter)
	w.b = appendMethod(w.b, p.Generic)
	return w.b
}

func readParameter(name string, value []byte) (Parameter, error) {
	r := fieldReader{b: value}
	p := Parameter{Name: name, Code: r.text(), Unit: r.text(), Digits: int(r.int())}
	numbers := []*float64{&p.Min, &p.Max, &p.AskLow, &p.AskHigh, &p.EveryDays, &p.MaxRise, &p.MaxFall, &p.Wobble}
	for i, f := range r.floats() {
		if i < len(numbers) {
			*numbers[i] = f
		}
	}
	p.Nutrient = r.bool()
	generic, parameter := r.text(), r.text()
	p.Generic = readMethodFields(&r, generic, parameter)
	return p, r.err
}

func appendMethod(b []byte, m Method) []byte {
	w := fieldWriter{b}
	w.text(m.Unit)
	w.float(m.Step)
	w.floats(m.Marks)
	w.floats([]float64{m.SD, m.SDRel, m.SDSteps, m.Limit})
	return w.b
}

func readMethod(name, parameter string, value []byte) (Method, error) {
	r := fieldReader{b: value}
	m := readMethodFields(&r, name, parameter)
	return m, r.err
}

func readMethodFields(r *fieldReader, name, parameter string) Method {
	m := Method{Name: name, Parameter: parameter, Unit: r.text(), Step: r.float(), Marks: r.floats()}
	numbers := []*float64{&m.SD, &m.SDRel, &m.SDSteps, &m.Limit}
	for i, f := range r.floats() {
		if i < len(numbers) {
			*numbers[i] = f
		}
	}
	return m
}

func appendChore(b []byte, c Chore) []byte {
	w := fieldWriter{b}
	w.float(c.EveryDays)
	return w.b
}

func readChore(tank, name string, value []byte) (Chore, error) {
	r := fieldReader{b: value}
	c := Chore{Tank: tank, Name: name, EveryDays: r.float()}
	return c, r.err
}

func appendSupplement(b []byte, s Supplement) []byte {
	w := fieldWriter{b}
	w.text(s.Salt)
	w.float(s.GramsPerL)
	w.float(s.Purity)
	w.float(s.LabelML)
	w.float(s.LabelL)
	w.bool(s.Limewater)
	w.uint(uint64(len(s.Label)))
	for _, l := range s.Label {
		w.text(l.Parameter)
		w.float(l.Rise)
		w.text(l.Unit)
	}
	return w.b
}

func readSupplement(name string, value []byte) (Supplement, error) {
	r := fieldReader{b: value}
	s := Supplement{Name: name, Salt: r.text(), GramsPerL: r.float(), Purity: r.float(), LabelML: r.float(), LabelL: r.float(), Limewater: r.bool()}
	n := r.uint()
	for i := uint64(0); i < n && r.more(); i++ {
		s.Label = append(s.Label, LabelRise{r.text(), r.float(), r.text()})
	}
	return s, r.err
}

func appendStock(b []byte, s Stock) []byte {
	w := fieldWriter{b}
	w.text(s.Unit)
	w.text(s.Supplement)
	w.text(s.Parameter)
	w.text(s.Method)
	w.float(s.PerDay)
	return w.b
}

func readStock(tank, name string, value []byte) (Stock, error) {
	r := fieldReader{b: value}
	s := Stock{Tank: tank, Name: name, Unit: r.text(), Supplement: r.text(), Parameter: r.text(), Method: r.text(), PerDay: r.float()}
	return s, r.err
}

// struckValue is what the struck bucket keeps of an entry: the entry as it stood, checksum included, and the strike.
type struckValue struct {
	kind   Kind
	key    seriesKey
	sealed []byte
	strike Strike
}

func appendStruck(b []byte, s struckValue) []byte {
	w := fieldWriter{b}
	w.uint(uint64(kindNumber(s.kind)))
	w.b = append(w.b, s.key[:]...)
	w.text(string(s.sealed))
	w.moment(s.strike.Time)
	w.text(s.strike.Who)
	w.text(s.strike.Why)
	w.b = append(w.b, s.strike.Successor[:]...)
	return w.b
}

func readStruck(id ID, value []byte) (struckValue, error) {
	r := fieldReader{b: value}
	var s struckValue
	s.kind, s.key = readPlace(&r)
	s.sealed = r.bytes()
	s.strike = Strike{Target: id, Time: r.moment(), Who: r.text(), Why: r.text()}
	if copy(s.strike.Successor[:], r.b) < len(s.strike.Successor) {
		r.fail()
	}
	return s, r.err
}

// readPlace reads where an entry lies: its kind and key.
func readPlace(r *fieldReader) (Kind, seriesKey) {
	kind, known := numberedKind(byte(r.uint()))
	var key seriesKey
	if copy(key[:], r.b) < len(key) || !known {
		r.fail()
		return "", seriesKey{}
	}
	r.b = r.b[len(key):]
	return kind, key
}

func appendPlace(b []byte, kind Kind, key seriesKey) []byte {
	w := fieldWriter{b}
	w.uint(uint64(kindNumber(kind)))
	return append(w.b, key[:]...)
}

// The time of the test lies among the fields of a draft, under a name that no parameter can have: a draft without one is
// written as it was before there was a time, and a program that knows none reads past it. Drafts of before have another.
const (
	draftWhen    = ""
	draftWhenOld = "\x00when"
)

func appendDraft(b []byte, d Draft) []byte {
	w := fieldWriter{b}
	w.moment(d.Started)
	fields := maps.Clone(d.Fields)
	if d.When != "" {
		if fields == nil {
			fields = map[string]DraftField{}
		}
		fields[draftWhen] = DraftField{Text: d.When}
	}
	w.uint(uint64(len(fields)))
	for _, parameter := range sortedKeys(fields) {
		f := fields[parameter]
		w.text(parameter)
		w.text(f.Text)
		w.text(f.Unit)
		w.text(f.Method)
		w.text(f.Note)
	}
	return w.b
}

func readDraft(tank string, value []byte) (Draft, error) {
	r := fieldReader{b: value}
	d := Draft{Tank: tank, Started: r.moment(), Fields: map[string]DraftField{}}
	n := r.uint()
	for i := uint64(0); i < n && r.more(); i++ {
		parameter := r.text()
		f := DraftField{r.text(), r.text(), r.text(), r.text()}
		if parameter == draftWhen || parameter == draftWhenOld {
			d.When = f.Text
			continue
		}
		d.Fields[parameter] = f
	}
	return d, r.err
}
