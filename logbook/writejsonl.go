package logbook

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"math"
	"strconv"
	"time"
)

// WriteJSONL writes every record of a book, one a line, so that EachJSONL fills an empty book with the same:
// definitions first, struck entries as well as the strikes, which come last. Of a part of the book (see ExportOptions)
// strikes are written whose entries are in it.
func WriteJSONL(w io.Writer, v *View, opt ExportOptions) error {
	out := bufio.NewWriterSize(w, 64<<10)
	written := map[ID]bool{}
	whole := opt.Tank == "" && opt.Since.IsZero()
	var line jsonLine
	err := v.EachRecord(func(rec Record) error {
		if !whole {
			if !opt.takesRecord(v, rec, written) {
				return nil
			}
			if s, is := rec.(Strike); is && !written[s.Successor] { // an import would look for it in vain
				s.Successor = ID{}
				rec = s
			}
		}
		_, err := out.Write(line.of(rec))
		return err
	})
	if err != nil {
		return err
	}
	return out.Flush()
}

// takesRecord says whether a record belongs to the part of a book that is written, and remembers the entries that do.
func (opt ExportOptions) takesRecord(v *View, rec Record, written map[ID]bool) bool {
	if def := definitionIn(rec); def != nil {
		rec = def
	}
	switch r := rec.(type) {
	case Tank:
		return opt.Tank == "" || opt.Tank == v.present(r.Name)
	case Entry:
		takes := opt.takes(r.TankName(), r.When())
		if takes {
			written[r.EntryID()] = true
		}
		return takes
	case tanked: // a definition
		return opt.Tank == "" || opt.Tank == v.present(r.TankName())
	case Strike:
		return written[r.Target]
	}
	return true
}

// RecordJSON is one record as a JSON object, in the form of JSON Lines.
func RecordJSON(rec Record) []byte {
	var line jsonLine
	return bytes.TrimSuffix(line.of(rec), []byte("\n"))
}

// jsonLine is the visitor that builds the line of one record. Fields come in the order they are added; the last comma
// goes at the end.
type jsonLine struct {
	inOrder
	b       []byte
	reading Reading
}

// of is the line of a record; it is overwritten by the next.
func (l *jsonLine) of(rec Record) []byte {
	l.b = append(l.b[:0], '{')
	kind := string(rec.Kind())
	l.text("kind", "", &kind, needed)
	if r, is := rec.(Reading); is {
		l.reading = r
		l.reading.visit(l)
	} else {
		rec.fields(l)
	}
	l.close('}')
	l.b[len(l.b)-1] = '\n' // in place of the comma behind the brace
	return l.b
}

func (l *jsonLine) key(_ keyPart, name, what string, s *string, r rule) {
	l.text(name, what, s, r|needed)
}

func (l *jsonLine) entry(id *ID, t *time.Time, tank *string) {
	l.id("id", id, 0)
	l.moment("time", "", t, needed)
	l.text("tank", "", tank, needed)
}

func (l *jsonLine) value(r *Reading) {
	l.text("value", "", &r.Text, needed)
	l.text("unit", "", &r.Unit, shown)
}

func (l *jsonLine) text(name, _ string, s *string, r rule) {
	if name != "" && (*s != "" || r.is(needed|shown)) {
		l.name(name)
		l.bareText(*s)
	}
}

func (l *jsonLine) texts(name, _ string, ss *[]string, _ rule) { writeList(l, name, *ss, l.bareText) }
func (l *jsonLine) numbers(name, _ string, fs *[]float64)      { writeList(l, name, *fs, l.bareNumber) }

func writeList[T any](l *jsonLine, name string, all []T, bare func(T)) {
	if len(all) == 0 {
		return
	}
	l.open(name, '[')
	for _, one := range all {
		bare(one)
	}
	l.close(']')
}

func (l *jsonLine) number(name, _ string, f *float64, r rule) {
	if *f != 0 || r.is(needed|shown) {
		l.name(name)
		l.bareNumber(*f)
	}
}

func (l *jsonLine) maybe(name, what string, f **float64, _ rule) {
	if *f != nil {
		l.number(name, what, *f, needed)
	}
}

func (l *jsonLine) count(name string, n *int) {
	f := float64(*n)
	l.number(name, "", &f, 0)
}

func (l *jsonLine) yes(name string, b *bool) {
	if *b {
		l.name(name)
		l.b = append(l.b, "true,"...)
	}
}

func (l *jsonLine) moment(name, _ string, t *time.Time, r rule) {
	if !t.IsZero() || r.is(needed) {
		l.name(name)
		l.b = append(l.b, '"')
		l.b = append(appendTime(l.b, *t), '"', ',')
	}
}

func (l *jsonLine) id(name string, id *ID, r rule) {
	if !id.IsZero() || r.is(needed) {
		text := id.String()
		l.text(name, "", &text, needed)
	}
}

func (l *jsonLine) object(name string, present bool, fields func()) {
	if present {
		l.open(name, '{')
		fields()
		l.close('}')
	}
}

func (l *jsonLine) each(name, _ string, parameters []string, fields func(int, string)) {
	l.object(name, len(parameters) > 0, func() {
		for i, parameter := range parameters {
			l.object(parameter, true, func() { fields(i, parameter) })
		}
	})
}

func (l *jsonLine) name(name string) {
	l.bareText(name)
	l.b[len(l.b)-1] = ':'
}

func (l *jsonLine) open(name string, bracket byte) {
	l.name(name)
	l.b = append(l.b, bracket)
}

// close ends an object or list, whose last comma goes.
func (l *jsonLine) close(bracket byte) {
	if l.b[len(l.b)-1] == ',' {
		l.b = l.b[:len(l.b)-1]
	}
	l.b = append(l.b, bracket, ',')
}

// bareNumber writes a number; null for what JSON has no number for.
func (l *jsonLine) bareNumber(f float64) {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		l.b = append(l.b, "null,"...)
		return
	}
	format := byte('f')
	if size := math.Abs(f); size != 0 && (size < 1e-6 || size >= 1e21) {
		format = 'e'
	}
	l.b = append(strconv.AppendFloat(l.b, f, format, -1, 64), ',')
}

func (l *jsonLine) bareText(s string) {
	if isPlain(s) && bytes.IndexByte([]byte(s), '"') < 0 && bytes.IndexByte([]byte(s), '\\') < 0 {
		l.b = append(l.b, '"')
		l.b = append(append(l.b, s...), '"', ',')
		return
	}
	var quoted bytes.Buffer
	e := json.NewEncoder(&quoted)
	e.SetEscapeHTML(false)
	_ = e.Encode(s) // a string always encodes
	l.b = append(append(l.b, bytes.TrimRight(quoted.Bytes(), "\n")...), ',')
}
