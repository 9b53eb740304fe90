package logbook

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"

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
	f.object.keep = f.typed.keep
	f.object.refuse = f.refuseField
	lines := bufio.NewScanner(text)
	lines.Buffer(make([]byte, 64<<10), longestRow)
	for !f.full && lines.Scan() {
		f.line++
		if line := bytes.TrimSpace(lines.Bytes()); len(line) > 0 {
			f.readLine(line)
		}
	}
	if err := lines.Err(); err == bufio.ErrTooLong {
		f.line++
		f.refuse(Refusal{Reason: "the line does not end within 1 MiB"})
	} else if err != nil {
		return err
	}
	return f.refusals.err()
}

// jsonFile is a JSON Lines file being read.
type jsonFile struct {
	fn       func(Record) error
	typed    *typed
	refusals refusalList
	full     bool // there are so many refusals that reading on makes no sense
	line     int
	object   jsonObject
	reading  Reading
}

func (f *jsonFile) refuse(r Refusal) { f.full = f.refusals.add(f.line, r) }

func (f *jsonFile) refuseField(field string, r Refusal) {
	r.Field = field
	f.refuse(r)
}

func (f *jsonFile) readLine(line []byte) {
	o := &f.object
	if err := o.reset(line); err != nil {
		f.refuse(asRefusal(err))
		return
	}
	before := len(f.refusals.all)
	rec := f.record(o, Kind(o.name("kind")))
	if rec == nil {
		return
	}
	o.end()
	if len(f.refusals.all) > before {
		return
	}
	if p, ok := rec.(Parameter); ok {
		f.typed.define(p)
	}
	if before > 0 {
		return
	}
	if err := f.fn(rec); err != nil {
		f.refuse(asRefusal(err))
	}
}

// record reads the fields of a line; nil if its kind is not known.
func (f *jsonFile) record(o *jsonObject, kind Kind) Record {
	switch kind {
	case KindTank:
		return f.tank(o)
	case KindParameter:
		return f.parameter(o)
	case KindMethod:
		return f.method(o)
	case KindChore:
		return Chore{Tank: o.name("tank"), Name: o.name("chore"), EveryDays: o.numberOr0("every_days")}
	case KindSupplement:
		return f.supplement(o)
	case KindStock:
		return f.stock(o)
	case KindReading:
		return f.readReading(o)
	case KindDosing:
		return f.dosing(o)
	case KindDose:
		return f.dose(o)
	case KindWaterChange:
		return f.waterChange(o)
	case KindEvent:
		return Event{ID: o.id("id"), Time: o.needTime("time"), Tank: o.name("tank"), Tags: o.texts("tags"), Subject: o.text("subject"), Text: o.text("text")}
	case KindChoreDone:
		return ChoreDone{ID: o.id("id"), Time: o.needTime("time"), Tank: o.name("tank"), Chore: o.name("chore"), Note: o.text("note")}
	case KindAcknowledgement:
		return f.acknowledgement(o)
	case KindRefill:
		return Refill{ID: o.id("id"), Time: o.needTime("time"), Tank: o.name("tank"), Stock: o.name("stock"), Amount: o.needNumber("amount"), Expires: o.text("expires"), Note: o.text("note")}
	case KindStrike:
		return f.strike(o)
	}
	if kind != "" {
		o.fail("kind", Refusal{Value: string(kind), Reason: quote(string(kind)) + " is not a kind of record", Hint: "kinds are " + kindNames()})
	}
	return nil
}

func kindNames() string {
	return "tank, parameter, method, supplement, chore, stock, reading, dosing, dose, water_change, event, chore_done, acknowledgement, refill, strike"
}

// known finds the parameter named by a field; nil, and refused, if there is none.
func (f *jsonFile) known(o *jsonObject, field string) *typedParameter {
	b := o.textBytes(field)
	if len(b) == 0 {
		o.missing(field)
		return nil
	}
	return f.find(o, field, b)
}

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

// unit reads the field "unit" of what is said about a parameter; "" if the parameter was refused.
func (f *jsonFile) unit(o *jsonObject, p *typedParameter) string {
	text := trim(o.text("unit"))
	if p == nil {
		return ""
	}
	if _, err := p.FindUnit(text); err != nil {
		o.fail("unit", Refusal{Value: text, Reason: err.Error()})
	}
	if text == "" {
		return p.Unit
	}
	return text
}

func (p *typedParameter) name() string {
	if p == nil {
		return ""
	}
	return p.Name
}

func (f *jsonFile) tank(o *jsonObject) Record {
	t := Tank{Name: o.name("tank"), VolumeL: o.numberOr0("volume_l"), Timezone: o.text("timezone"), Since: o.text("since"), About: o.text("about")}
	for _, name := range o.texts("order") {
		p := f.find(o, "order", []byte(name))
		if p != nil && slices.Contains(t.Order, p.Name) {
			o.fail("order", Refusal{Value: name, Reason: Clean(p.Name) + " is in the order twice"})
		}
		t.Order = append(t.Order, p.name())
	}
	bands := o.object("bands")
	if bands == nil {
		return t
	}
	t.Bands = map[string]Band{}
	for _, field := range bands.fields {
		in := bands.object(field.name)
		if in == nil {
			continue
		}
		p := f.find(bands, field.name, []byte(field.name))
		b := Band{Low: in.number("low"), High: in.number("high"), Floor: in.number("floor"), EveryDays: in.number("every_days")}
		if b.Unit = trim(in.text("unit")); p != nil {
			if _, err := p.FindUnit(b.Unit); err != nil {
				in.fail("unit", Refusal{Value: b.Unit, Reason: err.Error()})
			}
			if _, twice := t.Bands[p.Name]; twice {
				bands.fail(field.name, Refusal{Reason: "there are two bands of " + Clean(p.Name)})
			}
		}
		in.end()
		t.Bands[p.name()] = b
	}
	return t
}

func (f *jsonFile) parameter(o *jsonObject) Record {
	p := Parameter{
		Name: trim(o.text("parameter")), Code: trim(o.text("code")), Unit: trim(o.text("unit")),
		Min: o.numberOr0("min"), Max: o.numberOr0("max"), AskLow: o.numberOr0("ask_low"), AskHigh: o.numberOr0("ask_high"),
		EveryDays: o.numberOr0("every_days"), MaxRise: o.numberOr0("max_rise"), MaxFall: o.numberOr0("max_fall"),
		Wobble: o.numberOr0("wobble"), Nutrient: o.yes("nutrient"),
	}
	if p.Name == "" {
		o.fail("parameter", Refusal{Reason: "the name is blank"})
	}
	digits := o.numberOr0("digits")
	if p.Digits = int(digits); float64(p.Digits) != digits {
		o.fail("digits", Refusal{Reason: formatNumber(digits) + " is not a number of decimals"})
	}
	if units := water.Units(p.Name); len(units) > 0 {
		if p.Unit != "" && p.Unit != units[0].Name() {
			o.fail("unit", Refusal{Value: p.Unit, Reason: fmt.Sprintf("%s is kept in %s, not in %s", Clean(p.Name), units[0], quote(p.Unit))})
		}
		p.Unit = units[0].Name()
	}
	if in := o.object("generic"); in != nil {
		p.Generic = methodNumbers(in)
		p.Generic.Name, p.Generic.Parameter, p.Generic.Unit = in.text("method"), p.Name, trim(in.text("unit"))
		if _, err := p.FindUnit(p.Generic.Unit); err != nil {
			in.fail("unit", Refusal{Value: p.Generic.Unit, Reason: err.Error()})
		}
		in.end()
	}
	if old, ok := FindParameter(f.typed.parameters, p.Code); ok && old.Name != p.Name {
		o.fail("code", Refusal{Value: p.Code, Reason: quote(p.Code) + " is taken by " + Clean(old.Name)})
	}
	if old, ok := FindParameter(f.typed.parameters, p.Name); ok && old.Name != p.Name {
		o.fail("parameter", Refusal{Value: p.Name, Reason: quote(p.Name) + " is taken by " + Clean(old.Name)})
	}
	return p
}

func (f *jsonFile) method(o *jsonObject) Record {
	p := f.known(o, "parameter")
	m := methodNumbers(o)
	m.Name, m.Parameter, m.Unit = o.name("method"), p.name(), f.unit(o, p)
	return m
}

// methodNumbers reads what methods and the generic method of a parameter have in common.
func methodNumbers(o *jsonObject) Method {
	return Method{Step: o.numberOr0("step"), Marks: o.numbers("marks"), SD: o.numberOr0("sd"), SDRel: o.numberOr0("sd_rel"),
		SDSteps: o.numberOr0("sd_steps"), Limit: o.numberOr0("limit")}
}

func (f *jsonFile) supplement(o *jsonObject) Record {
	s := Supplement{Name: o.name("supplement"), Salt: o.text("salt"), GramsPerL: o.numberOr0("grams_per_l"), Purity: o.numberOr0("purity"), Limewater: o.yes("limewater")}
	label := o.object("label")
	if label == nil {
		return s
	}
	s.LabelML, s.LabelL = label.needNumber("ml"), label.needNumber("litres")
	if raises := label.object("raises"); raises != nil {
		for _, field := range raises.fields {
			if in := raises.object(field.name); in != nil {
				p := f.find(raises, field.name, []byte(field.name))
				s.Label = append(s.Label, LabelRise{Parameter: p.name(), Rise: in.needNumber("value"), Unit: f.unit(in, p)})
				in.end()
			}
		}
	}
	label.end()
	return s
}

func (f *jsonFile) stock(o *jsonObject) Record {
	s := Stock{Tank: o.name("tank"), Name: o.name("stock"), Unit: o.text("unit"), Supplement: o.text("supplement"), Method: o.text("method"), PerDay: o.numberOr0("per_day")}
	if b := o.textBytes("parameter"); len(b) > 0 {
		s.Parameter = f.find(o, "parameter", b).name()
	}
	return s
}

func (f *jsonFile) readReading(o *jsonObject) Record {
	r := &f.reading
	*r = Reading{ID: o.id("id"), Time: o.needTime("time"), Tank: o.name("tank"), Method: o.text("method"), Note: o.text("note")}
	p := f.known(o, "parameter")
	text, unit := o.valueText("value"), o.textBytes("unit")
	if p == nil || text == nil {
		return r
	}
	u, err := p.unit(unit)
	if err != nil {
		o.fail("unit", asRefusal(err))
		return r
	}
	v, err := p.value(u, text)
	if err != nil {
		o.fail("value", asRefusal(err))
	}
	r.Parameter, r.Text, r.Unit, r.Bound, r.Value = p.Name, v.text, v.unit, v.bound, v.value
	return r
}

func (f *jsonFile) dosing(o *jsonObject) Record {
	p := f.known(o, "parameter")
	d := Dosing{ID: o.id("id"), Time: o.needTime("time"), Tank: o.name("tank"), Parameter: p.name(), PerDay: o.needNumber("per_day"),
		Unit: f.unit(o, p), Supplement: o.text("supplement"), Note: o.text("note")}
	f.checkRise(o, "per_day", p, d.PerDay, d.Unit)
	return d
}

func (f *jsonFile) dose(o *jsonObject) Record {
	p := f.known(o, "parameter")
	d := Dose{ID: o.id("id"), Time: o.needTime("time"), Tank: o.name("tank"), Parameter: p.name(), Amount: o.needNumber("amount"),
		Unit: f.unit(o, p), Supplement: o.text("supplement"), Note: o.text("note")}
	f.checkRise(o, "amount", p, d.Amount, d.Unit)
	return d
}

// checkRise refuses a rise that has no meaning in the canonical unit, such as one of a whole specific gravity, and one that
// no water can take: every later answer about the tank would fail on it.
func (f *jsonFile) checkRise(o *jsonObject, field string, p *typedParameter, rise float64, unit string) {
	if p == nil {
		return
	}
	u, err := p.FindUnit(unit)
	if err != nil {
		return // refused where the unit was read
	}
	canonical, err := u.CanonicalChange(rise)
	if err == nil {
		err = ImpossibleRise(p.Parameter, math.NaN(), canonical)
	}
	if err != nil {
		r := asRefusal(err)
		r.Value = number(rise)
		o.fail(field, r)
	}
}

func (f *jsonFile) waterChange(o *jsonObject) Record {
	w := WaterChange{ID: o.id("id"), Time: o.needTime("time"), Tank: o.name("tank"), Fraction: o.needNumber("fraction"), Note: o.text("note")}
	levels := o.object("new")
	if levels == nil {
		return w
	}
	w.New = map[string]Amount{}
	for _, field := range levels.fields {
		in := levels.object(field.name)
		if in == nil {
			continue
		}
		p := f.find(levels, field.name, []byte(field.name))
		if _, twice := w.New[p.name()]; twice && p != nil {
			levels.fail(field.name, Refusal{Reason: "the new water has two levels of " + Clean(p.Name)})
		}
		level := Amount{Value: in.needNumber("value"), Unit: f.unit(in, p)}
		f.checkLevel(in, p, level)
		w.New[p.name()] = level
		in.end()
	}
	return w
}

// checkLevel refuses a level of new water that no water can have, as it would be refused of a reading.
func (f *jsonFile) checkLevel(in *jsonObject, p *typedParameter, level Amount) {
	if p == nil {
		return
	}
	if _, err := p.FindUnit(level.Unit); err != nil {
		return // refused where the unit was read
	}
	if _, err := ParseReading(p.Parameter, number(level.Value), level.Unit); err != nil {
		in.fail("value", asRefusal(err))
	}
}

func (f *jsonFile) acknowledgement(o *jsonObject) Record {
	a := Acknowledgement{ID: o.id("id"), Time: o.needTime("time"), Tank: o.name("tank"), Subject: o.text("subject"), Rule: o.name("rule"), Until: o.time("until"), Note: o.text("note")}
	if b := o.textBytes("parameter"); len(b) > 0 {
		a.Parameter = f.find(o, "parameter", b).name()
	}
	return a
}

func (f *jsonFile) strike(o *jsonObject) Record {
	s := Strike{Target: o.id("id"), Time: o.needTime("time"), Who: o.text("who"), Why: o.text("why"), Successor: o.id("successor")}
	if s.Target.IsZero() {
		o.missing("id")
	}
	return s
}
