package logbook

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"time"
)

// WriteJSONL writes every record of a book, one a line, so that EachJSONL fills an empty book with the same: definitions
// first, struck entries as well as the strikes, which come last. Of a part of the book (see ExportOptions) strikes are
// written whose entries are in it.
func WriteJSONL(w io.Writer, v *View, opt ExportOptions) error {
	out := bufio.NewWriterSize(w, 64<<10)
	written := map[ID]bool{}
	whole := opt.Tank == "" && opt.Since.IsZero()
	var line jsonLine
	err := v.EachRecord(func(rec Record) error {
		if !whole {
			if !opt.takesRecord(rec, written) {
				return nil
			}
			rec = withoutAbsent(rec, written)
		}
		b, err := line.of(rec)
		if err != nil {
			return err
		}
		_, err = out.Write(b)
		return err
	})
	if err != nil {
		return err
	}
	return out.Flush()
}

// takesRecord says whether a record belongs to the part of a book that is written, and remembers the entries that do.
func (opt ExportOptions) takesRecord(rec Record, written map[ID]bool) bool {
	switch r := rec.(type) {
	case Tank:
		return opt.Tank == "" || opt.Tank == r.Name
	case Chore:
		return opt.Tank == "" || opt.Tank == r.Tank
	case Stock:
		return opt.Tank == "" || opt.Tank == r.Tank
	case Entry:
		takes := opt.takes(r.TankName(), r.When())
		if takes {
			written[r.EntryID()] = true
		}
		return takes
	case Strike:
		return written[r.Target]
	}
	return true
}

// withoutAbsent leaves the successor out of a strike whose successor is not in the part that is written: an import would
// look for it in vain.
func withoutAbsent(rec Record, written map[ID]bool) Record {
	if s, is := rec.(Strike); is && !written[s.Successor] {
		s.Successor = ID{}
		return s
	}
	return rec
}

// jsonLine builds the line of one record. Fields come in the order they are added; the last comma goes at the end.
type jsonLine struct{ b []byte }

// of is the line of a record; it is overwritten by the next.
func (l *jsonLine) of(rec Record) ([]byte, error) {
	l.b = append(l.b[:0], '{')
	l.text("kind", string(rec.Kind()))
	switch r := rec.(type) {
	case Tank:
		l.tank(r)
	case Parameter:
		l.parameter(r)
	case Method:
		l.text("method", r.Name)
		l.text("parameter", r.Parameter)
		l.textIf("unit", r.Unit)
		l.methodNumbers(r)
	case Chore:
		l.text("tank", r.Tank)
		l.text("chore", r.Name)
		l.numberIf("every_days", r.EveryDays)
	case Supplement:
		l.supplement(r)
	case Stock:
		l.text("tank", r.Tank)
		l.text("stock", r.Name)
		l.text("unit", r.Unit)
		l.textIf("supplement", r.Supplement)
		l.textIf("parameter", r.Parameter)
		l.textIf("method", r.Method)
		l.numberIf("per_day", r.PerDay)
	case Reading:
		l.entry(r)
		l.text("parameter", r.Parameter)
		l.text("value", r.Text)
		l.text("unit", r.Unit)
		l.text("method", r.Method)
		l.text("note", r.Note)
	case Dosing:
		l.entry(r)
		l.text("parameter", r.Parameter)
		l.number("per_day", r.PerDay)
		l.text("unit", r.Unit)
		l.text("supplement", r.Supplement)
		l.textIf("note", r.Note)
	case Dose:
		l.entry(r)
		l.text("parameter", r.Parameter)
		l.number("amount", r.Amount)
		l.text("unit", r.Unit)
		l.text("supplement", r.Supplement)
		l.textIf("note", r.Note)
	case WaterChange:
		l.waterChange(r)
	case Event:
		l.event(r)
	case ChoreDone:
		l.entry(r)
		l.text("chore", r.Chore)
		l.textIf("note", r.Note)
	case Acknowledgement:
		l.entry(r)
		l.textIf("parameter", r.Parameter)
		l.textIf("subject", r.Subject)
		l.text("rule", r.Rule)
		if !r.Until.IsZero() {
			l.time("until", r.Until)
		}
		l.textIf("note", r.Note)
	case Refill:
		l.entry(r)
		l.text("stock", r.Stock)
		l.number("amount", r.Amount)
		l.textIf("expires", r.Expires)
		l.textIf("note", r.Note)
	case Strike:
		l.time("time", r.Time)
		l.text("id", r.Target.String())
		l.textIf("who", r.Who)
		l.textIf("why", r.Why)
		if !r.Successor.IsZero() {
			l.text("successor", r.Successor.String())
		}
	default:
		return nil, fmt.Errorf("no line is known for a %T", rec)
	}
	l.close('}')
	l.b[len(l.b)-1] = '\n' // in place of the comma behind the brace
	return l.b, nil
}

// entry writes what all entries have.
func (l *jsonLine) entry(e Entry) {
	if !e.EntryID().IsZero() {
		l.text("id", e.EntryID().String())
	}
	l.time("time", e.When())
	l.text("tank", e.TankName())
}

func (l *jsonLine) tank(t Tank) {
	l.text("tank", t.Name)
	l.numberIf("volume_l", t.VolumeL)
	l.textIf("timezone", t.Timezone)
	l.textIf("since", t.Since)
	l.textIf("about", t.About)
	if len(t.Order) > 0 {
		l.open("order", '[')
		for _, parameter := range t.Order {
			l.bareText(parameter)
		}
		l.close(']')
	}
	if len(t.Bands) == 0 {
		return
	}
	l.open("bands", '{')
	for _, parameter := range sortedKeys(t.Bands) {
		l.open(parameter, '{')
		l.band(t.Bands[parameter])
		l.close('}')
	}
	l.close('}')
}

func (l *jsonLine) band(b Band) {
	l.pointer("low", b.Low)
	l.pointer("high", b.High)
	l.pointer("floor", b.Floor)
	l.textIf("unit", b.Unit)
	l.pointer("every_days", b.EveryDays)
}

func (l *jsonLine) parameter(p Parameter) {
	l.text("parameter", p.Name)
	l.textIf("code", p.Code)
	l.textIf("unit", p.Unit)
	l.numberIf("digits", float64(p.Digits))
	if p.Min != 0 || p.Max != 0 {
		l.number("min", p.Min)
		l.number("max", p.Max)
	}
	if p.AskLow != 0 || p.AskHigh != 0 {
		l.number("ask_low", p.AskLow)
		l.number("ask_high", p.AskHigh)
	}
	l.numberIf("every_days", p.EveryDays)
	l.numberIf("max_rise", p.MaxRise)
	l.numberIf("max_fall", p.MaxFall)
	l.numberIf("wobble", p.Wobble)
	if p.Nutrient {
		l.name("nutrient")
		l.b = append(l.b, "true,"...)
	}
	l.open("generic", '{')
	l.textIf("method", p.Generic.Name)
	l.textIf("unit", p.Generic.Unit)
	l.methodNumbers(p.Generic)
	l.close('}')
}

func (l *jsonLine) methodNumbers(m Method) {
	l.numberIf("step", m.Step)
	if len(m.Marks) > 0 {
		l.open("marks", '[')
		for _, mark := range m.Marks {
			l.bareNumber(mark)
		}
		l.close(']')
	}
	l.numberIf("sd", m.SD)
	l.numberIf("sd_rel", m.SDRel)
	l.numberIf("sd_steps", m.SDSteps)
	l.numberIf("limit", m.Limit)
}

func (l *jsonLine) supplement(s Supplement) {
	l.text("supplement", s.Name)
	l.textIf("salt", s.Salt)
	l.numberIf("grams_per_l", s.GramsPerL)
	l.numberIf("purity", s.Purity)
	if len(s.Label) > 0 {
		l.open("label", '{')
		l.number("ml", s.LabelML)
		l.number("litres", s.LabelL)
		l.open("raises", '{')
		for _, r := range s.Label {
			l.open(r.Parameter, '{')
			l.number("value", r.Rise)
			l.textIf("unit", r.Unit)
			l.close('}')
		}
		l.close('}')
		l.close('}')
	}
	if s.Limewater {
		l.name("limewater")
		l.b = append(l.b, "true,"...)
	}
}

func (l *jsonLine) waterChange(w WaterChange) {
	l.entry(w)
	l.number("fraction", w.Fraction)
	if len(w.New) > 0 {
		l.open("new", '{')
		for _, parameter := range sortedKeys(w.New) {
			l.open(parameter, '{')
			l.number("value", w.New[parameter].Value)
			l.textIf("unit", w.New[parameter].Unit)
			l.close('}')
		}
		l.close('}')
	}
	l.textIf("note", w.Note)
}

func (l *jsonLine) event(e Event) {
	l.entry(e)
	if len(e.Tags) > 0 {
		l.open("tags", '[')
		for _, tag := range e.Tags {
			l.bareText(tag)
		}
		l.close(']')
	}
	l.textIf("subject", e.Subject)
	l.textIf("text", e.Text)
}

func (l *jsonLine) name(name string) {
	l.bareText(name)
	l.b[len(l.b)-1] = ':'
}

func (l *jsonLine) text(name, s string) {
	l.name(name)
	l.bareText(s)
}

func (l *jsonLine) textIf(name, s string) {
	if s != "" {
		l.text(name, s)
	}
}

func (l *jsonLine) time(name string, t time.Time) {
	l.name(name)
	l.b = append(l.b, '"')
	l.b = append(appendTime(l.b, t), '"', ',')
}

func (l *jsonLine) number(name string, f float64) {
	l.name(name)
	l.bareNumber(f)
}

func (l *jsonLine) numberIf(name string, f float64) {
	if f != 0 {
		l.number(name, f)
	}
}

func (l *jsonLine) pointer(name string, f *float64) {
	if f != nil {
		l.number(name, *f)
	}
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

// bareText writes a string, with < and > as they are.
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
