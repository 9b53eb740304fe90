package tui

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/textinput"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
	"leadline/tui/part"
)

// testField is one parameter of a test day: what is typed, and what is thought of it.
type testField struct {
	entry.Test
	input   textinput.Model
	note    textinput.Model
	methods []string // described for this parameter, with that of the last time

	result  entry.Result
	read    bool   // result holds what is typed
	refused string // why it cannot be
	judged  string // the text the judgement is about
	verdict trend.Judgement
	asked   string // the text that was asked about
	at      func() time.Time
	beside  []*testField // all of the test day
	kept    string       // the text that was kept all the same
}

// newTestField is the field of a line, of a test at a time: by the method of the last time, or where there was none by
// the first that is described.
func newTestField(e *part.Env, c entry.Context, l alerts.Finding, at func() time.Time) *testField {
	f := &testField{Test: c.Test(l), methods: c.MethodNames(l.Parameter), input: part.NewField(e, 10),
		note: part.NewField(e, 30), at: at}
	method := ""
	if n := len(l.Readings); n > 0 {
		method = l.Readings[n-1].Method
	} else if len(f.methods) > 0 {
		method = f.methods[0]
	}
	if method != "" {
		f.methods = slices.Insert(slices.DeleteFunc(f.methods, func(name string) bool { return name == method }), 0, method)
	}
	f.By(method)
	return f
}

func (f *testField) text() string { return strings.TrimSpace(f.input.Value()) }

// parse reads what is typed. It forgets the judgement of an older text.
func (f *testField) parse() {
	f.result, f.read, f.refused = entry.Result{}, false, ""
	if f.text() == "" {
		return
	}
	var err error
	if f.result, err = f.Read(f.text()); err != nil {
		f.refused = part.RefusalText(err)
		return
	}
	f.read = true
}

// question is what has to be answered before the field can be left, and what was likely meant. It is asked once.
func (f *testField) question() (why, meant string) {
	if !f.read || f.kept == f.text() {
		return "", ""
	}
	if why, meant = f.Doubt(f.result, f.suspect()); why == "" {
		why = f.twice()
	}
	for _, other := range f.beside {
		if other.read && f.result.Unlikely != "" {
			why = strings.TrimSuffix(why+"; "+f.Swapped(f.result.Reading, other.Test, other.result.Reading), "; ")
		}
	}
	return part.Clean(why), part.Clean(meant)
}

// twice is the doubt whether the result is that of a test which was noted minutes ago.
func (f *testField) twice() string {
	r := f.result.Reading
	r.Time, r.Tank = f.at(), f.Tank.Name
	why, _ := entry.Twice(r, f.Readings)
	return why
}

func (f *testField) suspect() bool { return f.judgedNow() && f.verdict.Suspect }

// settle asks the question, or takes the second press as the answer. It reports whether the field may be left.
func (f *testField) settle() bool {
	if why, _ := f.question(); why == "" {
		return true
	}
	if f.asked != f.text() {
		f.asked = f.text()
		return false
	}
	f.kept = f.text()
	return true
}

// ways are what can be done about a question; meant is what was likely meant.
func (f *testField) ways(meant string) string {
	ways := "enter twice keeps it as typed"
	if f.asked == f.text() {
		ways = "enter or ctrl+s keeps it as typed"
	}
	if meant != "" {
		ways = insteadKey + " takes " + meant + "; " + ways
	}
	return ways
}

func (f *testField) judgedNow() bool { return f.judged == f.text() && f.judged != "" }

func (f *testField) word(t *part.Theme) (string, part.Ink) {
	switch {
	case f.text() == "":
		return "", t.Plain
	case f.refused != "":
		return "! not possible", t.Bad
	}
	if word, style := f.doubted(t); word != "" {
		return word, style
	}
	// An edge that is not set is no number, and nothing lies beyond it.
	switch v, band := f.result.Value, f.Band; {
	case v < band.Floor:
		return "below the floor", t.Bad
	case v < band.Low:
		return "below band", t.Warn
	case v > band.High:
		return "above band", t.Warn
	case f.judgedNow() && !math.IsNaN(f.verdict.Tail):
		return f.besideExpected(t)
	case band.Set():
		return "in band", t.Good
	default:
		return "noted", t.Plain
	}
}

// doubted is what is doubtful about the value, asked about or kept all the same; "" where nothing is.
func (f *testField) doubted(t *part.Theme) (string, part.Ink) {
	why, _ := f.question()
	far := f.FarOff(f.result, f.suspect())
	switch {
	case f.result.Unlikely != "" && why != "":
		return "? a slip?", t.Bad
	case f.result.Unlikely != "":
		return "kept, unlikely", t.Warn
	case far && why != "":
		return "? far off", t.Warn
	case far:
		return "kept, far off", t.Warn
	case why != "" && why == part.Clean(f.twice()):
		return "? noted twice?", t.Warn
	case why != "":
		return "? a leap", t.Warn
	}
	return "", t.Plain
}

// besideExpected compares the reading with the range that stands beside it, in the numbers that stand there.
func (f *testField) besideExpected(t *part.Theme) (string, part.Ink) {
	shown := func(v float64) float64 {
		n, _ := strconv.ParseFloat(words.NumberIn(f.Parameter, f.Unit, v), 64)
		return n
	}
	v, bound := f.result.Value, f.result.Bound
	switch e := f.Expected; {
	case f.ExpectedText() == "":
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
	rs := f.Readings
	if len(rs) == 0 {
		return "none yet"
	}
	return words.ValueIn(f.Parameter, f.Unit, rs[len(rs)-1])
}

// nextMethod changes to the next method known for the parameter; behind the last comes none.
func (f *testField) nextMethod() {
	next := ""
	if at := slices.Index(f.methods, f.Method); at+1 < len(f.methods) {
		next = f.methods[at+1]
	}
	f.By(next)
	f.judged = ""
	f.parse()
}

type pasted struct {
	to   int
	text string
}

// splitPasted splits pasted lines over fields from one of them on. A line that begins with a parameter's name or code
// goes to that field. over is true where there are more lines than fields.
func splitPasted(text string, at int, fields []*testField) (lines []pasted, over bool) {
	for _, line := range strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' || r == '\t' }) {
		line = strings.TrimSpace(part.Clean(line))
		if line == "" {
			continue
		}
		to := at
		if i, rest, ok := named(line, fields); ok {
			to, line = i, rest
		}
		if to >= len(fields) {
			return lines, true
		}
		lines = append(lines, pasted{to, line})
		at = to + 1
	}
	return lines, false
}

// named finds the field that a line such as "no3=4.2" or "nitrate 4.2" speaks of.
func named(line string, fields []*testField) (field int, rest string, ok bool) {
	name, rest, cut := strings.Cut(line, "=")
	if !cut {
		if name, rest, cut = strings.Cut(line, " "); !cut {
			return 0, "", false
		}
	}
	for i, f := range fields {
		p := f.Parameter
		if strings.EqualFold(strings.TrimSpace(name), p.Name) || strings.EqualFold(strings.TrimSpace(name), p.Code) {
			return i, strings.TrimSpace(rest), true
		}
	}
	return 0, "", false
}

// timer is when the bell rings; zero: it does not.
type timer struct{ time.Time }

// wind starts the timer, or makes it one step longer; after the longest it stops. It says which.
func (t *timer) wind(now time.Time) string {
	left := t.Sub(now)
	for _, m := range []time.Duration{1, 3, 5, 10} {
		if left < m*time.Minute-5*time.Second {
			t.Time = now.Add(m * time.Minute)
			return fmt.Sprintf("the bell rings in %d min; ctrl+r makes it longer, behind 10 min it stops", m)
		}
	}
	*t = timer{}
	return "the timer is stopped"
}

// over reports, once, that the timer has run down.
func (t *timer) over(now time.Time) bool {
	if t.IsZero() || now.Before(t.Time) {
		return false
	}
	*t = timer{}
	return true
}

func (t timer) text(now time.Time) string {
	if t.IsZero() {
		return ""
	}
	left := t.Sub(now).Round(time.Second)
	return fmt.Sprintf("timer %d:%02d", int(left.Minutes()), int(left.Seconds())%60)
}
