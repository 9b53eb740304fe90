package logbook

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"leadline/logbook/water"
)

// JSONLOptions says how a JSON Lines file is to be read.
type JSONLOptions struct {
	File       string      // its name, for messages
	Parameters []Parameter // those known before the file begins; it may define more
}

// EachJSONL hands every record of a JSON Lines file to fn; a reading comes as a *Reading that is overwritten by the
// next. Fields and kinds that are not known are refused, so that a slip of the pen is not taken for nothing said. A
// parameter is defined on a line above those that name it. Names of parameters may be codes; units are checked and kept
// as typed, an empty one becoming the canonical one.
//
// As with EachCSV the whole file is read, the error is Refusals, and fn is not called after the first one.
func EachJSONL(r io.Reader, opt JSONLOptions, fn func(Record) error) error {
	text, err := utf8Text(r, opt.File)
	if err != nil {
		return err
	}
	f := &jsonFile{fn: fn, typed: newTyped(opt.Parameters), refusals: refusalList{file: opt.File}}
	f.line.keep = f.typed.keep
	f.line.refuse = func(field string, r Refusal) {
		r.Field = field
		f.refuse(r)
	}
	lines := bufio.NewScanner(text)
	lines.Buffer(make([]byte, 64<<10), longestRow)
	for !f.refusals.full && lines.Scan() {
		f.row++
		if line := bytes.TrimSpace(lines.Bytes()); len(line) > 0 {
			f.readLine(line)
		}
	}
	if err := lines.Err(); err == bufio.ErrTooLong {
		f.row++
		f.refuse(Refusal{Reason: "the line does not end within 1 MiB"})
	} else if err != nil {
		return err
	}
	return f.refusals.err()
}

// jsonFile is a JSON Lines file being read, and the visitor that fills records from its lines.
type jsonFile struct {
	inOrder
	fn       func(Record) error
	typed    *typed
	refusals refusalList
	row      int
	line     jsonObject      // the line
	at       *jsonObject     // what is being read: the line, or an object in it
	of       *typedParameter // what it is said of; nil where no parameter is, or a refused one
	isChange bool            // the line tells a moment, and so no more of a definition than was set
	reading  Reading
}

func (f *jsonFile) refuse(r Refusal) { f.refusals.add(f.row, r) }

func (f *jsonFile) readLine(line []byte) {
	o := &f.line
	f.at = o
	if err := o.reset(line); err != nil {
		f.refuse(asRefusal(err))
		return
	}
	before := len(f.refusals.all)
	rec := f.record(Kind(o.name("kind")))
	if rec == nil {
		return
	}
	o.end()
	if len(f.refusals.all) > before {
		return
	}
	if p, ok := definitionIn(rec).(Parameter); ok {
		f.typed.change(changeOf(rec), p.Name)
	}
	if before > 0 {
		return
	}
	if err := f.fn(rec); err != nil {
		f.refuse(asRefusal(err))
	}
}

// record reads the fields of a line; nil if its kind is not known.
func (f *jsonFile) record(kind Kind) Record {
	f.of = nil
	if kind == KindReading {
		f.reading = Reading{}
		f.reading.visit(f)
		return &f.reading
	}
	if rec := blank(kind); rec != nil && kindPlace(kind) > 0 {
		return f.change(Change{Of: rec})
	} else if rec != nil {
		return rec.fields(f)
	}
	if kind != "" {
		known := gather(blanks(), func(rec Record) string { return string(rec.Kind()) })
		f.at.fail("kind", Refusal{Value: string(kind), Reason: quote(string(kind)) + " is not a kind of record",
			Hint: "kinds are " + strings.Join(known, ", ")})
	}
	return nil
}

// change reads a line about a definition: a change, or the definition itself where the line tells nothing of its
// noting.
func (f *jsonFile) change(c Change) Record {
	c.noting(f)
	f.isChange = !c.Noted.IsZero()
	for i, part := range c.Without {
		if parameter, is := strings.CutPrefix(part, "bands."); is {
			c.Without[i] = "bands." + f.find(f.at, "without", []byte(parameter)).name()
		}
		if !isSection(c.Kind(), c.Without[i]) {
			f.at.fail("without", Refusal{Value: part, Reason: quote(part) + " is not a field of a " + string(c.Kind())})
		}
	}
	c = c.defining(f)
	if f.isChange || c.Who != "" || len(c.Without) > 0 {
		return c
	}
	return c.Of
}

func (f *jsonFile) read(settle func(*jsonFile)) { settle(f) }
func (f *jsonFile) numbers(name, _ string, fs *[]float64) {
	*fs = listOf[float64](f.at, name, "a number")
}
func (f *jsonFile) yes(name string, b *bool)                  { *b = f.at.yes(name) }
func (f *jsonFile) maybe(name, _ string, n **float64, _ rule) { *n = f.at.number(name) }

func (f *jsonFile) key(_ keyPart, name, what string, s *string, r rule) {
	f.text(name, what, s, r|needed)
}

func (f *jsonFile) entry(id *ID, t *time.Time, tank *string) {
	f.id("id", id, 0)
	f.moment("time", "", t, needed)
	*tank = f.at.name("tank")
}

func (f *jsonFile) value(r *Reading) {
	text, unit := f.at.valueText("value"), f.at.textBytes("unit")
	if f.of == nil || text == nil {
		return
	}
	u, err := f.of.unit(unit)
	if err != nil {
		f.at.fail("unit", asRefusal(err))
		return
	}
	v, err := parseReadingIn(f.of.Parameter, u.unit, string(text), u.text)
	if err != nil {
		f.at.fail("value", asRefusal(err))
	}
	r.Text, r.Unit, r.Bound, r.Value = v.Text, v.Unit, v.Bound, v.Value
}

func (f *jsonFile) text(name, _ string, s *string, r rule) {
	if name == "" {
		return
	}
	b := f.at.textBytes(name)
	switch {
	case len(b) == 0 && r.is(needed):
		f.at.missing(name)
	case r.is(ofParameter) && len(b) > 0:
		f.of = f.find(f.at, name, b)
		*s = f.of.name()
	case r.is(ofUnit) && f.of != nil:
		u, err := f.of.unit(b)
		if err != nil {
			f.at.fail(name, asRefusal(err))
			return
		}
		if *s = u.text; *s == "" && r.is(elseCanonical) {
			*s = f.of.Unit
		}
	case !r.is(ofUnit):
		*s = f.at.keep(b)
	}
}

func (f *jsonFile) texts(name, _ string, ss *[]string, r rule) {
	*ss = listOf[string](f.at, name, "text in quotation marks")
	if !r.is(ofParameter) {
		return
	}
	for i, text := range *ss {
		p := f.find(f.at, name, []byte(text)).name()
		if p != "" && slices.Contains((*ss)[:i], p) {
			f.at.fail(name, Refusal{Value: text, Reason: fmt.Sprintf("%s is in the %s twice", Clean(p), name)})
		}
		(*ss)[i] = p
	}
}

func (f *jsonFile) number(name, _ string, n *float64, r rule) {
	if got := f.at.number(name); got != nil {
		*n = *got
	} else if r.is(needed) {
		f.at.missing(name)
	}
	if f.of == nil || !r.is(risesBy|standsAt) {
		return
	}
	u, err := f.of.unit(f.at.textBytes("unit"))
	if err != nil {
		return // refused where the unit is read
	}
	if r.is(risesBy) {
		f.checkRise(name, u.unit, *n)
	} else if _, err := ParseReading(f.of.Parameter, number(*n), u.text); err != nil { // a level that no water can have
		f.at.fail(name, asRefusal(err))
	}
}

// checkRise refuses a rise that has no meaning in the canonical unit, such as one of a whole specific gravity, and
// one that no water can take: every later answer about the tank would fail on it.
func (f *jsonFile) checkRise(name string, u water.Unit, by float64) {
	canonical, err := u.CanonicalChange(by)
	if err == nil {
		err = ImpossibleRise(f.of.Parameter, math.NaN(), canonical)
	}
	if err != nil {
		r := asRefusal(err)
		r.Value = number(by)
		f.at.fail(name, r)
	}
}

func (f *jsonFile) count(name string, n *int) {
	var number float64
	f.number(name, "", &number, 0)
	if *n = int(number); float64(*n) != number {
		f.at.fail(name, Refusal{Reason: formatNumber(number) + " is not a number of decimals"})
	}
}

func (f *jsonFile) moment(name, _ string, t *time.Time, r rule) {
	if *t = f.at.time(name); t.IsZero() && r.is(needed) {
		f.at.missing(name)
	}
}

func (f *jsonFile) id(name string, id *ID, r rule) {
	b := f.at.textBytes(name)
	if len(b) > 0 {
		var err error
		if *id, err = ParseID(string(b)); err != nil {
			f.at.fail(name, Refusal{Value: string(b), Reason: Clean(err.Error())})
		}
	}
	if id.IsZero() && r.is(needed) {
		f.at.missing(name)
	}
}

func (f *jsonFile) object(name string, _ bool, fields func()) {
	f.within(f.at.object(name), fields)
}

func (f *jsonFile) each(name, what string, _ []string, fields func(int, string)) {
	in, n, seen := f.at.object(name), 0, map[string]bool{}
	if in == nil {
		return
	}
	for _, field := range in.fields {
		f.within(in.object(field.name), func() {
			f.of = f.find(in, field.name, []byte(field.name))
			if p := f.of.name(); p != "" && seen[p] {
				in.fail(field.name, Refusal{Reason: fmt.Sprintf("there are two %s of %s", what, Clean(p))})
			}
			seen[f.of.name()] = true
			fields(n, f.of.name())
			n++
		})
	}
}

// within reads the fields of an object inside the one that is being read, if it is there.
func (f *jsonFile) within(in *jsonObject, fields func()) {
	if in == nil {
		return
	}
	at, of := f.at, f.of
	f.at = in
	fields()
	in.end()
	f.at, f.of = at, of
}

// find finds the parameter that a field names; nil, and refused, if there is none.
func (f *jsonFile) find(o *jsonObject, field string, name []byte) *typedParameter {
	p, err := f.typed.parameter(name)
	if err != nil {
		r := asRefusal(err)
		r.Hint += `; define others on a line above: {"kind":"parameter","parameter":"NAME","unit":"UNIT"}`
		o.fail(field, r)
		return nil
	}
	return p
}

func (p *typedParameter) name() string {
	if p == nil {
		return ""
	}
	return p.Name
}
