package entry

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
)

// Test is one parameter of a test day before its result is typed: what is known of it, and how a bare number is taken.
type Test struct {
	alerts.Finding                  // as of the time of the test; of one that is only read, the series alone
	Method         string           // "": none
	Unit           string           // of a bare number
	From           UnitFrom         // where that unit comes from
	Expected       trend.Prediction // of the next reading by this method; zero: not known

	known []logbook.Method // described ones
}

// Test is a test of the parameter of a finding.
func (c Context) Test(f alerts.Finding) Test { return Test{Finding: f, known: c.Methods} }

// TestNow is a test of a parameter with which the context was loaded, at the moment it was loaded for.
func (c Context) TestNow(p logbook.Parameter) Test {
	return c.Test(alerts.Finding{Series: c.series[p.Name]})
}

// UnitFrom says where the unit of a bare number comes from.
type UnitFrom int8

// The sources of a unit, the one that goes before the others last.
const (
	OwnUnit      UnitFrom = iota // the parameter's own
	HabitUnit                    // that of nearly all of the last readings
	SettingsUnit                 // the one that the keeper's settings name
	MethodUnit                   // that of the method
)

// Words say who took a bare number for being in that unit, "the method photometer-p shows"; where is the place of the
// settings. "" for the parameter's own unit.
func (f UnitFrom) Words(method, where string) string {
	switch f {
	case HabitUnit:
		return "the last readings were"
	case SettingsUnit:
		return where + " says"
	case MethodUnit:
		return "the method " + method + " shows"
	default:
		return ""
	}
}

// latestReadings is how many readings tell which unit a keeper is used to, and usedToUnit how many of them have to be
// in it: one in another unit changes nothing.
const (
	latestReadings = 5
	usedToUnit     = 3
)

// By takes a method for the test, and with it the unit of a bare number: that of the method, else the one that the
// settings name, else the one in which nearly all of the last readings were typed, else the parameter's own.
func (t *Test) By(method string) {
	t.Method = method
	t.Unit, t.From = t.usualUnit()
	own, _ := t.Parameter.FindUnit("")
	if u, err := t.Parameter.FindUnit(t.Unit); err == nil && u == own && t.Parameter.Shown.Name() == "" {
		t.From = OwnUnit // nobody could mean another
	}
}

func (t *Test) usualUnit() (string, UnitFrom) {
	p := t.Parameter
	if m, ok := t.described(); ok && m.Unit != "" {
		return m.Unit, MethodUnit
	}
	if set := p.Shown.Name(); set != "" {
		return set, SettingsUnit
	}
	rs := t.Readings
	rs = rs[max(0, len(rs)-latestReadings):]
	count := map[string]int{}
	for _, r := range slices.Backward(rs) {
		u, err := p.FindUnit(r.Unit)
		if err != nil {
			continue
		}
		count[u.Name()]++
		if n := count[u.Name()]; n >= usedToUnit && n >= len(rs)-1 {
			return r.Unit, HabitUnit
		}
	}
	return p.Unit, OwnUnit
}

// Result is a result as it was typed, and what the text by itself says of it.
type Result struct {
	logbook.Reading        // without tank, time and note
	Repeats         string // the single results, where several were typed
	UnitNote        string // how a unit of two meanings was taken
	Unlikely        string // why the parameter hardly has this value
	Leap            string // why it is a leap from the last reading
	instead         string // what was likely meant by an unlikely value
}

// Read reads a result: a value such as "4.2" or "<0.02", with or without a unit behind it, or several of one test,
// which are kept as their mean.
func (t Test) Read(text string) (Result, error) {
	p := t.Parameter
	value, unit := logbook.Split(text)
	if unit == "" {
		unit = t.Unit
	}
	value, repeats, err := logbook.Mean(value)
	if err != nil {
		return Result{}, fmt.Errorf("%s: %w", p.Name, err)
	}
	r, err := logbook.ParseReading(p, value, unit)
	if err != nil {
		return Result{}, err
	}
	r.Method = t.Method
	x := Result{Reading: r, Repeats: repeats, UnitNote: logbook.UnitNote(p, r)}
	x.Unlikely, x.instead = logbook.Unlikely(p, r)
	if n := len(t.Readings); n > 0 {
		x.Leap = logbook.UnlikelyLeap(p, t.Readings[n-1], r)
	}
	return x, nil
}

// NoteWith is a note with the single results behind it.
func (x Result) NoteWith(note string) string { return strings.Trim(note+"; "+x.Repeats, "; ") }

// Typed is the value as it was typed, with its unit.
func (x Result) Typed() string {
	return strings.TrimSpace(x.Bound.Sign() + strings.TrimLeft(x.Text, "<>≤≥= ") + " " + x.Unit)
}

// Doubt says in one sentence why a result may be a slip, and what was likely meant, as it would be typed; both are ""
// where nothing is doubtful or explains it. suspect is the judgement of the engine, false while there is none.
func (t Test) Doubt(x Result, suspect bool) (why, meant string) {
	p := t.Parameter
	switch {
	case x.Unlikely != "":
		meant = x.instead
		if t.Expected.Hi > t.Expected.Lo { // of two units, the one that puts it where it is expected
			meant = cmp.Or(logbook.Meant(p, x.Reading, t.Expected.Lo, t.Expected.Hi), meant)
		}
		return x.Unlikely, meant
	case t.FarOff(x, suspect):
		why = fmt.Sprintf("%s does not fit (expected %s)", x.Typed(), t.expectedIn(x.Unit))
		if low, high, ok := t.near(); ok {
			meant = logbook.Meant(p, x.Reading, low, high)
		}
		if meant != "" {
			return why + "; did you mean " + meant + "?", meant
		}
		return why + ": test again before dosing", ""
	}
	if m, fine := t.tooFine(x); fine {
		why = fmt.Sprintf("%s is less than one step of %s", x.Typed(), m.Name)
		if own, _ := t.Parameter.FindUnit(""); own.Name() != m.Unit {
			meant = x.Text + " " + own.Name()
			why += "; did you mean " + meant + "?"
		}
		return why, meant
	}
	return x.Leap, ""
}

// Swapped asks of an unlikely reading whether it and that of another test were typed in each other's place; "" where
// either is unlikely, or a leap, there too.
func (t Test) Swapped(r logbook.Reading, other Test, o logbook.Reading) string {
	if why, _ := logbook.Unlikely(t.Parameter, r); why == "" || t.Parameter.Name == other.Parameter.Name {
		return ""
	}
	here, err1 := t.Read(o.Text)
	there, err2 := other.Read(r.Text)
	if cmp.Or(err1, err2) != nil || cmp.Or(here.Unlikely, here.Leap, there.Unlikely, there.Leap) != "" {
		return ""
	}
	return fmt.Sprintf("were %s and %s typed in each other's place?", t.Parameter.Name, other.Parameter.Name)
}

// described is what is known of the method of the test.
func (t Test) described() (logbook.Method, bool) {
	return words.First(t.known, func(m logbook.Method) bool {
		return m.Name == t.Method && m.Parameter == t.Parameter.Name
	})
}

// tooFine says whether a result is less than one step of the method that it was made by, in the method's unit: the unit
// of the parameter was likely meant.
func (t Test) tooFine(x Result) (logbook.Method, bool) {
	m, ok := t.described()
	if !ok || x.Bound != logbook.Exact || x.Value <= 0 {
		return m, false
	}
	u, err := t.Parameter.FindUnit(m.Unit)
	return m, err == nil && m.Step > 0 && x.Value < u.Canonical(m.Step)*(1-1e-9)
}

// FarOff reports whether a result is far from what the earlier readings predict: by the judgement of the engine, or
// because it lies a whole width of the expected range outside of it or under half of its lower end. The second is for
// what a slip of the unit makes of a small number: near zero nothing is far by difference, and a "<" value has no one
// place.
func (t Test) FarOff(x Result, suspect bool) bool {
	if len(t.Readings) == 0 {
		return false
	}
	low, high, ok := t.near()
	return suspect || ok && (x.Bound != logbook.Above && x.Value < low || x.Bound != logbook.Below && x.Value > high)
}

// near is where a reading is not far off; false where nothing is expected.
func (t Test) near() (low, high float64, ok bool) {
	e := t.Expected
	width := e.Hi - e.Lo
	if !(width > 0) || math.IsInf(width, 0) {
		return 0, 0, false
	}
	low = e.Lo - width
	if t.Parameter.Min >= 0 {
		low = math.Max(low, e.Lo/2)
	}
	return low, e.Hi + width, true
}

// ExpectedText is the range in which the next reading is expected, in the unit of a bare number: "6.1–8.7"; "" where
// nothing is expected.
func (t Test) ExpectedText() string { return t.expectedIn(t.Unit) }

func (t Test) expectedIn(unit string) string {
	e := t.Expected
	if math.IsNaN(e.Lo) || math.IsNaN(e.Hi) || len(t.Readings) == 0 || (e.Lo == 0 && e.Hi == 0) {
		return ""
	}
	lo := e.Lo
	if t.Parameter.Min >= 0 {
		lo = math.Max(0, lo)
	}
	return words.NumberIn(t.Parameter, unit, lo) + "–" + words.NumberIn(t.Parameter, unit, e.Hi)
}

// Compare compares a reading at a moment with what the earlier ones predict. It is not taken for older than they are.
func (t Test) Compare(r logbook.Reading, at time.Time) (trend.Judgement, error) {
	r.Time, r.Tank = at, t.Tank.Name
	if n := len(t.Readings); n > 0 && at.Before(t.Readings[n-1].Time) {
		r.Time = t.Readings[n-1].Time
	}
	return t.Series.Judge(r)
}

// Judge is Doubt with the engine asked about a result that has its time.
func (t Test) Judge(x Result) (why, meant string, err error) {
	if len(t.Readings) == 0 {
		why, meant = t.Doubt(x, false)
		return why, meant, nil
	}
	j, err := t.Series.Judge(x.Reading)
	t.Expected = j.Expected
	why, meant = t.Doubt(x, j.Suspect)
	return why, meant, err
}

// Correction is the test that a reading came from: its method and unit stay, unless another unit follows the number.
func Correction(p logbook.Parameter, old logbook.Reading) Test {
	return Test{Finding: alerts.Finding{Series: alerts.Series{Parameter: p}}, Method: old.Method, Unit: old.Unit}
}

// Correct is ReadAgain with the doubt about it, by what was known at the time of the reading.
func (t Test) Correct(v *logbook.View, tank logbook.Tank, old logbook.Reading, text string) (x Result, why string,
	err error) {
	if t.Series, err = alerts.SeriesBefore(v, tank, t.Parameter, old.Time); err != nil {
		return x, "", err
	}
	if x, err = t.ReadAgain(old, text); err != nil {
		return x, "", err
	}
	why, _, err = t.Judge(x)
	return x, why, err
}

// ReadAgain reads what the reading of a correction should have been: all but the value stays.
func (t Test) ReadAgain(old logbook.Reading, text string) (Result, error) {
	x, err := t.Read(text)
	x.Time, x.Tank, x.Who, x.Note = old.Time, old.Tank, old.Who, x.NoteWith(old.Note)
	return x, err
}
