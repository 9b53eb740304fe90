package tui

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"github.com/charmbracelet/bubbles/textinput"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/trend"
)

// testField is one parameter of a test day: what is typed, and what is thought of it.
type testField struct {
	line    alerts.Line
	input   textinput.Model
	note    textinput.Model
	set     string   // the unit the keeper's settings name; "": none
	unit    string   // the unit a bare number is in: that of the method, of the settings, or of the last time
	method  string   // that of the last time
	methods []string // others described for this parameter

	reading  logbook.Reading
	read     bool   // reading holds what is typed
	repeats  string // the single results, where several were typed
	refused  string // why it cannot be
	unlikely string // what to ask once
	instead  string // what was likely meant by it, as it would be typed
	leap     string // what to ask once where too little is known to expect anything
	unitNote string // how a unit of two meanings was taken
	judged   string // the text the judgement is about
	verdict  trend.Judgement
	expected trend.Prediction // of the next reading by this method
	asked    string           // the text that was asked about
	kept     string           // the text that was kept all the same
}

func (f *testField) text() string { return strings.TrimSpace(f.input.Value()) }

// splitUnit parts "33 ppb P" or "<0.02mg/L" into the value and the unit.
func splitUnit(text string) (value, unit string) {
	text = strings.TrimSpace(text)
	end := 0
	for i, r := range text {
		inNumber := unicode.IsDigit(r) || strings.ContainsRune("<>=≤≥+-., ", r)
		exponent := (r == 'e' || r == 'E') && i > 0 && i+1 < len(text) && unicode.IsDigit(rune(text[i-1])) &&
			(unicode.IsDigit(rune(text[i+1])) || text[i+1] == '-' || text[i+1] == '+')
		if !inNumber && !exponent {
			break
		}
		end = i + len(string(r))
	}
	return strings.TrimSpace(text[:end]), strings.TrimSpace(text[end:])
}

// parse reads what is typed. It forgets the judgement of an older text.
func (f *testField) parse() {
	f.reading, f.read, f.repeats, f.refused, f.unlikely = logbook.Reading{}, false, "", "", ""
	f.instead, f.leap, f.unitNote = "", "", ""
	text := f.text()
	if text == "" {
		return
	}
	value, unit := splitUnit(text)
	if unit == "" {
		unit = f.unit
	}
	if value == "" {
		value, unit = text, f.unit
	}
	value, repeats, err := logbook.Mean(value)
	if err != nil {
		f.refused = refusalText(err)
		return
	}
	f.repeats = repeats
	r, err := logbook.ParseReading(f.line.Parameter, value, unit)
	if err != nil {
		f.refused = refusalText(err)
		return
	}
	r.Method = f.method
	f.reading, f.read = r, true
	if why, yes := logbook.Unlikely(f.line.Parameter, r); yes {
		f.unlikely = why
		f.instead, _ = logbook.Instead(f.line.Parameter, r)
	}
	if n := len(f.line.Readings); n > 0 {
		f.leap, _ = logbook.UnlikelyLeap(f.line.Parameter, f.line.Readings[n-1], r)
	}
	f.unitNote, _ = logbook.UnitNote(f.line.Parameter, r)
}

// noteText is the note as it goes into the book, with the single results of a repeated test.
func (f *testField) noteText() string {
	return strings.Trim(f.note.Value()+"; "+f.repeats, "; ")
}

// refusalText is a refusal as a field shows it: what is wrong and what to write. Switches of the command line are no help
// here.
func refusalText(err error) string {
	var r logbook.Refusal
	if !errors.As(err, &r) {
		return clean(err.Error())
	}
	text := r.Reason
	switch {
	case strings.Contains(r.Hint, "the unit has its own place"): // in a table it has; a field takes both
		text += "; write the number first, and behind it a unit if it is another"
	case r.Hint != "" && !strings.Contains(r.Hint, "--"):
		text += "; " + r.Hint
	case strings.Contains(r.Hint, "use a point"):
		text += "; use a point"
	}
	return clean(text)
}

// question is what has to be answered before the field can be left: a reading that is unlikely in itself, or far from
// what the last weeks predict. It is asked once.
func (f *testField) question() string {
	switch {
	case !f.read || f.kept == f.text():
		return ""
	case f.unlikely != "":
		return clean(f.unlikely)
	case f.farOff():
		text := fmt.Sprintf("%s is far from what the last weeks predict, %s", f.typed(), f.expectsText())
		if meant := f.meant(); meant != "" {
			text += "; did you mean " + clean(meant) + "?"
		}
		return text
	case f.leap != "":
		return clean(f.leap)
	}
	return ""
}

// typed is the value as it was typed, with its unit.
func (f *testField) typed() string {
	return clean(strings.TrimSpace(f.reading.Bound.Sign() + strings.TrimLeft(f.reading.Text, "<>≤≥= ") + " " + f.reading.Unit))
}

// farOff reports whether the reading is far from what the last weeks predict: by the judgement of the engine, or because
// it lies a whole width of the expected range outside of it or under half of its lower end. The second is for what a
// slip of the unit makes of a small number: near zero nothing is far by difference, and a "<" value has no one place.
func (f *testField) farOff() bool {
	if !f.read || len(f.line.Readings) == 0 {
		return false
	}
	if f.judgedNow() && f.verdict.Suspect {
		return true
	}
	low, high, ok := f.near()
	v := f.reading.Value
	return ok && (f.reading.Bound != logbook.Above && v < low || f.reading.Bound != logbook.Below && v > high)
}

// near is where a reading is not far off; false where nothing is expected.
func (f *testField) near() (low, high float64, ok bool) {
	e := f.expected
	width := e.Hi - e.Lo
	if !(width > 0) || math.IsInf(width, 0) {
		return 0, 0, false
	}
	low = e.Lo - width
	if f.line.Parameter.Min >= 0 {
		low = math.Max(low, e.Lo/2)
	}
	return low, e.Hi + width, true
}

// meant is what was likely meant by a reading that is unlikely or far off, as it would be typed; "" where nothing explains
// it.
func (f *testField) meant() string {
	if f.unlikely != "" {
		if f.expected.Hi > f.expected.Lo { // of two units, the one that puts it where it is expected
			if text, ok := logbook.Meant(f.line.Parameter, f.reading, f.expected.Lo, f.expected.Hi); ok {
				return text
			}
		}
		return f.instead
	}
	low, high, ok := f.near()
	if !ok || !f.farOff() {
		return ""
	}
	text, _ := logbook.Meant(f.line.Parameter, f.reading, low, high)
	return text
}

// settle asks the question, or takes the second press as the answer. It reports whether the field may be left.
func (f *testField) settle() bool {
	if f.question() == "" {
		return true
	}
	if f.asked != f.text() {
		f.asked = f.text()
		return false
	}
	f.kept = f.text()
	return true
}

func (f *testField) judgedNow() bool { return f.judged == f.text() && f.judged != "" }

// word is the judgement in a word or two, with its colour.
func (f *testField) word(t *theme) (string, ink) {
	band := f.line.Band
	switch {
	case f.text() == "":
		return "", t.Plain
	case f.refused != "":
		return "! not possible", t.Bad
	case f.unlikely != "" && f.kept != f.text():
		return "? a slip?", t.Bad
	case f.unlikely != "":
		return "kept, unlikely", t.Warn
	case f.farOff() && f.kept != f.text():
		return "? far off", t.Warn
	case f.farOff():
		return "kept, far off", t.Warn
	case f.leap != "" && f.kept != f.text():
		return "? a leap", t.Warn
	case !math.IsNaN(band.Floor) && f.reading.Value < band.Floor:
		return "below the floor", t.Bad
	case f.reading.Value < band.Low:
		return "below band", t.Warn
	case f.reading.Value > band.High:
		return "above band", t.Warn
	case f.judgedNow() && !math.IsNaN(f.verdict.Tail):
		return f.besideExpected(t)
	case band.Set():
		return "in band", t.Good
	default:
		return "noted", t.Plain
	}
}

// besideExpected compares the reading with the range that stands beside it, in the numbers that stand there.
func (f *testField) besideExpected(t *theme) (string, ink) {
	shown := func(v float64) float64 {
		n, _ := strconv.ParseFloat(f.inUnit(v), 64)
		return n
	}
	v, bound := f.reading.Value, f.reading.Bound
	switch e := f.expected; {
	case f.expectsText() == "":
		return "as expected", t.Good
	case bound != logbook.Above && v < e.Lo && shown(v) < shown(e.Lo):
		return "below expected", t.Plain
	case bound != logbook.Below && v > e.Hi && shown(v) > shown(e.Hi):
		return "above expected", t.Plain
	default:
		return "as expected", t.Good
	}
}

// lastText is the last value in the unit this field is in, with its age beside it.
func (f *testField) lastText() string {
	rs := f.line.Readings
	if len(rs) == 0 {
		return "none yet"
	}
	r := rs[len(rs)-1]
	return r.Bound.Sign() + f.inUnit(r.Value)
}

// expectsText is the range the next reading is expected in, in the field's unit.
func (f *testField) expectsText() string {
	e := f.expected
	if math.IsNaN(e.Lo) || math.IsNaN(e.Hi) || len(f.line.Readings) == 0 || (e.Lo == 0 && e.Hi == 0) {
		return ""
	}
	lo, hi := e.Lo, e.Hi
	if f.line.Parameter.Min >= 0 {
		lo = math.Max(0, lo)
	}
	return f.inUnit(lo) + "–" + f.inUnit(hi)
}

// inUnit prints a canonical value in the field's unit.
func (f *testField) inUnit(v float64) string { return alerts.NumberIn(f.line.Parameter, f.unit, v) }

// latestReadings is how many readings tell which unit a keeper is used to, and usedToUnit how many of them have to be in it:
// one in another unit changes nothing.
const (
	latestReadings = 5
	usedToUnit     = 3
)

// usualUnit is the unit a bare number is in: that of the method, else the one the settings name, else the one nearly all of
// the last readings were typed in, else the parameter's own.
func (f *testField) usualUnit(known []logbook.Method) string {
	p := f.line.Parameter
	for _, m := range known {
		if m.Name == f.method && m.Parameter == p.Name && m.Unit != "" {
			return m.Unit
		}
	}
	if f.set != "" {
		return f.set
	}
	rs := f.line.Readings
	rs = rs[max(0, len(rs)-latestReadings):]
	count := map[string]int{}
	for _, r := range slices.Backward(rs) {
		u, err := p.FindUnit(r.Unit)
		if err != nil {
			continue
		}
		count[u.Name()]++
		if n := count[u.Name()]; n >= usedToUnit && n >= len(rs)-1 {
			return r.Unit
		}
	}
	return p.Unit
}

// nextMethod changes to the next method known for the parameter; behind the last comes none.
func (f *testField) nextMethod(known []logbook.Method) {
	if len(f.methods) == 0 {
		return
	}
	at := -1
	for i, m := range f.methods {
		if m == f.method {
			at = i
		}
	}
	f.method = ""
	if at+1 < len(f.methods) {
		f.method = f.methods[at+1]
	}
	f.unit = f.usualUnit(known)
	f.judged = ""
	f.parse()
}
