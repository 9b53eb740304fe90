package logbook

import (
	"fmt"
	"slices"
)

// Batch gathers the records of an import. A reading takes about 80 bytes in it: its names are kept once and its text
// in large blocks, so that a million of them fit where as many records would not. The zero Batch is empty and ready.
type Batch struct {
	Timezone string // of the tanks that the import makes

	names   []string // by number; a name's number in the batch has nothing to do with its number in a book
	numbers map[string]uint32
	rows    [][]row  // blocks of rowBlock
	texts   [][]byte // blocks of textBlock
	count   int      // rows
	others  []Record
	content []byte  // reused
	checker checker // reused

	was   map[string][]string // the former names of tanks that the file describes
	there map[[2]string]int   // see There
	twice Twice

	missing []Strike
}

const (
	rowBlock  = 1 << 14
	textBlock = 1 << 20
)

type row struct {
	nanos                              int64
	value                              float64
	id                                 ID
	tank, parameter, unit, method, who uint32
	zone                               uint32
	text                               uint32 // where its text begins in the blocks, and its note behind it
	noteLength                         uint16
	textLength                         uint8
	bound                              Bound
	given                              bool // it came with its ID
}

// Add takes a record in; a *Reading is as good as a Reading and saves an allocation. The error says what the book
// cannot keep.
func (bt *Batch) Add(rec Record) error {
	switch r := rec.(type) {
	case *Reading:
		return bt.addReading(r)
	case Reading:
		return bt.addReading(&r)
	}
	if err := Validate(rec); err != nil {
		return err
	}
	if t, is := definitionIn(rec).(Tank); is && len(t.Was) > 0 {
		if bt.was == nil {
			bt.was = map[string][]string{}
		}
		bt.was[t.Name] = append(bt.was[t.Name], t.Was...)
	}
	bt.others = append(bt.others, rec)
	return nil
}

// Len is the number of records.
func (bt *Batch) Len() int { return bt.count + len(bt.others) }

// There counts the readings that the import, tried or done, found in the book already, by tank and parameter.
func (bt *Batch) There() map[[2]string]int { return bt.there }

// Twice are those that the import, tried or done, adds though they look like one test noted twice.
func (bt *Batch) Twice() Twice { return bt.twice }

// Missing are the strikes that TakeIn left out, as what they strike, or what is to stand in its place, is not here.
func (bt *Batch) Missing() []Strike { return bt.missing }

func (bt *Batch) addReading(r *Reading) error {
	bt.checker.err = nil
	if r.visit(&bt.checker); bt.checker.err != nil {
		return bt.checker.err
	}
	nanos, zone := r.Time.UnixNano(), zoneOf(r.Time)
	bt.content = appendReadingContent(bt.content[:0], r.Tank, r.Parameter, nanos, zone, r.Text, r.Unit, r.Method, r.Note,
		r.Who)
	id, given := r.ID, !r.ID.IsZero()
	if !given {
		id = deriveID(r.Time.UnixMilli(), bt.content, 0)
	} else if !isDerived(*r, bt.content) && !bt.derivedBefore(r) {
		bt.others = append(bt.others, *r) // rare, and needs more care
		return nil
	}
	text, err := bt.keep(r.Text, r.Note)
	if err != nil {
		return err
	}
	if bt.count%rowBlock == 0 {
		bt.rows = append(bt.rows, make([]row, 0, rowBlock))
	}
	block := &bt.rows[len(bt.rows)-1]
	*block = append(*block, row{
		nanos: nanos, value: r.Value, id: id,
		tank: bt.number(r.Tank), parameter: bt.number(r.Parameter), unit: bt.number(r.Unit), method: bt.number(r.Method),
		who:  bt.number(r.Who),
		zone: uint32(zone), text: text, textLength: uint8(len(r.Text)), noteLength: uint16(len(r.Note)),
		bound: r.Bound, given: given,
	})
	bt.count++
	return nil
}

// derivedBefore reports whether the ID of a reading was derived under a name that its tank had before.
func (bt *Batch) derivedBefore(r *Reading) bool {
	return slices.ContainsFunc(bt.was[r.Tank], func(name string) bool {
		return isDerived(*r, appendContent(nil, ofTank(*r, name).(Entry)))
	})
}

func (bt *Batch) row(i uint32) *row { return &bt.rows[i/rowBlock][i%rowBlock] }

// number gives the number of a name in this batch; they begin at 0.
func (bt *Batch) number(name string) uint32 {
	if n, ok := bt.numbers[name]; ok {
		return n
	}
	if bt.numbers == nil {
		bt.numbers = map[string]uint32{}
	}
	n := uint32(len(bt.names))
	bt.names = append(bt.names, name)
	bt.numbers[name] = n
	return n
}

// keep stores a text and a note one behind the other and gives where they begin.
func (bt *Batch) keep(text, note string) (uint32, error) {
	need := len(text) + len(note)
	last := len(bt.texts) - 1
	if last < 0 || len(bt.texts[last])+need > textBlock {
		if len(bt.texts) == 1<<32/textBlock {
			return 0, fmt.Errorf("one import can hold %d MB of text and notes at most: split the file", 1<<32>>20)
		}
		bt.texts = append(bt.texts, make([]byte, 0, textBlock))
		last++
	}
	at := last*textBlock + len(bt.texts[last])
	bt.texts[last] = append(append(bt.texts[last], text...), note...)
	return uint32(at), nil
}

func (bt *Batch) textOf(r *row) (text, note []byte) {
	block := bt.texts[r.text/textBlock]
	at := int(r.text % textBlock)
	middle := at + int(r.textLength)
	return block[at:middle], block[middle : middle+int(r.noteLength)]
}

// derived gives the ID of a row of a tank that says what so many others before it said.
func (bt *Batch) derived(r *row, tank string, repeat int) ID {
	text, note := bt.textOf(r)
	bt.content = appendReadingContent(bt.content[:0], tank, bt.names[r.parameter], r.nanos, uint64(r.zone),
		string(text), bt.names[r.unit], bt.names[r.method], string(note), bt.names[r.who])
	return deriveID(r.nanos/1e6, bt.content, repeat)
}
