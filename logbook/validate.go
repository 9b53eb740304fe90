package logbook

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"leadline/logbook/water"
)

const (
	longestName = 200    // bytes
	longestText = 30_000 // bytes, of a note or any other free text
)

// validate refuses a record the book cannot keep: the Validate of its kind.
func validate(rec Record) error {
	if v, ok := rec.(interface{ Validate() error }); ok {
		return v.Validate()
	}
	return fmt.Errorf("the book keeps no %q", rec.Kind())
}

// checks gathers the first fault of a record.
type checks struct{ err error }

func (c *checks) fail(format string, args ...any) {
	if c.err == nil {
		c.err = fmt.Errorf(format, args...)
	}
}

// name is for what others refer to: it must be there.
func (c *checks) name(what, s string) {
	if s == "" {
		c.fail("%s has no name", what)
		return
	}
	c.nameOrNone(what, s)
}

func (c *checks) nameOrNone(what, s string) {
	switch {
	case len(s) > longestName:
		c.fail("%s %q… is %d bytes long, and %d is the most", what, start(s), len(s), longestName)
	case !utf8.ValidString(s):
		c.fail("%s %q is not UTF-8", what, s)
	case strings.TrimSpace(s) == "" && s != "":
		c.fail("%s %q is blank", what, s)
	case strings.ContainsRune(s, 0):
		c.fail("%s %q holds a NUL character", what, s)
	}
}

func (c *checks) text(what, s string) {
	switch {
	case len(s) > longestText:
		c.fail("%s %q… is %d bytes long, and %d is the most", what, start(s), len(s), longestText)
	case !utf8.ValidString(s):
		c.fail("%s %q… is not UTF-8", what, start(s))
	}
}

// start is the beginning of a text that is too long to repeat.
func start(s string) string {
	if len(s) <= 20 {
		return s
	}
	return s[:20]
}

func (c *checks) time(what string, t time.Time) {
	switch {
	case t.IsZero():
		c.fail("%s is missing", what)
	case !yearKept(t):
		c.fail("%s %s is not between the years %d and %d", what, t.Format(time.RFC3339), firstYear, lastYear)
	}
}

func (c *checks) finite(what string, f float64) {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		c.fail("%s %v is not a number", what, f)
	}
}

func (c *checks) notNegative(what string, f float64) {
	c.finite(what, f)
	if f < 0 {
		c.fail("%s %s is below zero", what, number(f))
	}
}

func (c *checks) positive(what string, f float64) {
	c.finite(what, f)
	if f <= 0 {
		c.fail("%s %s is not above zero", what, number(f))
	}
}

func number(f float64) string { return strconv.FormatFloat(f, 'g', -1, 64) }

// Validate says why the book cannot keep this tank.
func (t Tank) Validate() error {
	var c checks
	c.name("the tank", t.Name)
	c.notNegative("the volume", t.VolumeL)
	c.text("the time zone", t.Timezone)
	if _, err := time.LoadLocation(t.Timezone); err != nil || t.Timezone == "Local" {
		c.fail("the time zone %q is not known; it should be a name such as Pacific/Auckland", t.Timezone)
	}
	c.text("the date of setting up", t.Since)
	c.text("the text about the tank", t.About)
	for i, parameter := range t.Order {
		c.name("a parameter of the order", parameter)
		if slices.Contains(t.Order[:i], parameter) {
			c.fail("%s is in the order twice", quote(parameter))
		}
	}
	for _, parameter := range sortedKeys(t.Bands) {
		t.Bands[parameter].check(&c, parameter)
	}
	return c.err
}

func (b Band) check(c *checks, parameter string) {
	what := "the band of " + strconv.Quote(parameter)
	c.name("the parameter of a band", parameter)
	c.nameOrNone("the unit of "+what, b.Unit)
	for _, f := range []*float64{b.Low, b.High, b.Floor} {
		if f != nil {
			c.finite("a bound in "+what, *f)
		}
	}
	if b.Low != nil && b.High != nil && *b.Low > *b.High {
		c.fail("%s runs from %s down to %s", what, number(*b.Low), number(*b.High))
	}
	if b.EveryDays != nil {
		c.notNegative("the days between tests in "+what, *b.EveryDays)
	}
}

// Validate says why the book cannot keep this parameter.
func (p Parameter) Validate() error {
	var c checks
	c.name("the parameter", p.Name)
	c.nameOrNone("the code", p.Code)
	c.nameOrNone("the unit", p.Unit)
	if p.Digits < 0 || p.Digits > 9 {
		c.fail("%d decimals are asked for, and 0 to 9 are possible", p.Digits)
	}
	for _, f := range []float64{p.Min, p.Max, p.AskLow, p.AskHigh} {
		c.finite("a limit", f)
	}
	if p.Min > p.Max {
		c.fail("the limits run from %s down to %s", number(p.Min), number(p.Max))
	}
	c.notNegative("the days between tests", p.EveryDays)
	c.notNegative("the greatest rise in a day", p.MaxRise)
	c.notNegative("the greatest fall in a day", p.MaxFall)
	c.notNegative("the ordinary wandering", p.Wobble)
	p.Generic.checkNumbers(&c)
	return c.err
}

// Validate says why the book cannot keep this method.
func (m Method) Validate() error {
	var c checks
	c.name("the method", m.Name)
	c.name("the parameter of the method", m.Parameter)
	m.checkNumbers(&c)
	return c.err
}

func (m Method) checkNumbers(c *checks) {
	c.nameOrNone("the unit of the method", m.Unit)
	c.notNegative("the step", m.Step)
	c.notNegative("the repeatability", m.SD)
	c.notNegative("the relative repeatability", m.SDRel)
	c.notNegative("the repeatability in steps", m.SDSteps)
	c.notNegative("the detection limit", m.Limit)
	if m.Step > 0 && len(m.Marks) > 0 {
		c.fail("the method has both a step of %s and %d marks; it can have one of the two", number(m.Step), len(m.Marks))
	}
	if len(m.Marks) == 1 {
		c.fail("the method has one mark, %s; a scale needs two", number(m.Marks[0]))
	}
	for i, mark := range m.Marks {
		c.finite("the mark", mark)
		if i > 0 && mark <= m.Marks[i-1] {
			c.fail("the marks must rise, and %s follows %s", number(mark), number(m.Marks[i-1]))
		}
	}
}

// Validate says why the book cannot keep this chore.
func (ch Chore) Validate() error {
	var c checks
	c.name("the tank of the chore", ch.Tank)
	c.name("the chore", ch.Name)
	c.notNegative("the days between", ch.EveryDays)
	return c.err
}

// Validate says why the book cannot keep this supplement.
func (s Supplement) Validate() error {
	var c checks
	c.name("the supplement", s.Name)
	c.nameOrNone("the salt", s.Salt)
	recipe, label := s.Salt != "" || s.GramsPerL != 0 || s.Purity != 0, len(s.Label) > 0 || s.LabelML != 0 || s.LabelL != 0
	ways := 0
	for _, is := range []bool{recipe, label, s.Limewater} {
		if is {
			ways++
		}
	}
	if ways != 1 {
		c.fail("supplement %q is described in %d ways; it needs a recipe, a label or limewater, one of the three", s.Name, ways)
	}
	if recipe {
		s.checkRecipe(&c)
	}
	if label {
		s.checkLabel(&c)
	}
	return c.err
}

func (s Supplement) checkRecipe(c *checks) {
	c.positive("the grams per litre", s.GramsPerL)
	c.notNegative("the purity", s.Purity)
	if s.Purity > 1 {
		c.fail("the purity %s is above 1, which is all of it", number(s.Purity))
	}
	if _, err := water.FindSalt(s.Salt); err != nil {
		c.fail("the salt: %v", err)
	}
}

func (s Supplement) checkLabel(c *checks) {
	c.positive("the millilitres of the label", s.LabelML)
	c.positive("the litres of the label", s.LabelL)
	if len(s.Label) == 0 {
		c.fail("the label does not say what it raises")
	}
	seen := map[string]bool{}
	for _, l := range s.Label {
		c.name("a parameter of the label", l.Parameter)
		c.positive("the rise of "+strconv.Quote(l.Parameter)+" on the label", l.Rise)
		c.nameOrNone("a unit of the label", l.Unit)
		if seen[l.Parameter] {
			c.fail("the label has two rises of %q", l.Parameter)
		}
		seen[l.Parameter] = true
	}
}

// Validate says why the book cannot keep this stock.
func (s Stock) Validate() error {
	var c checks
	c.name("the tank of the stock", s.Tank)
	c.name("the stock", s.Name)
	c.name("the unit of the stock", s.Unit)
	c.nameOrNone("the supplement", s.Supplement)
	c.nameOrNone("the parameter", s.Parameter)
	c.nameOrNone("the method", s.Method)
	c.notNegative("the use per day", s.PerDay)
	ways := 0
	for _, is := range []bool{s.Supplement != "", s.Parameter != "", s.PerDay != 0} {
		if is {
			ways++
		}
	}
	if ways != 1 {
		c.fail("stock %q has %d reasons to run down; it needs a supplement, a parameter or a use per day, one of the three", s.Name, ways)
	}
	if s.Method != "" && s.Parameter == "" {
		c.fail("stock %q names the method %q and not the parameter that it tests", s.Name, s.Method)
	}
	if s.Supplement != "" {
		if _, err := water.Litres(1, s.Unit); err != nil {
			c.fail("stock %q holds a supplement: %v", s.Name, err)
		}
	}
	return c.err
}

// Validate says why the book cannot keep this refill.
func (r Refill) Validate() error {
	var c checks
	c.time("the time", r.Time)
	c.name("the tank", r.Tank)
	c.name("the stock", r.Stock)
	c.notNegative("the amount", r.Amount)
	if _, err := time.Parse(time.DateOnly, r.Expires); err != nil && r.Expires != "" {
		c.fail("the expiry %q is not a date such as 2026-10-31", r.Expires)
	}
	c.text("the note", r.Note)
	return c.err
}

// Validate says why the book cannot keep this reading. Whether its value is possible for its parameter was asked
// where the text was read.
func (r Reading) Validate() error {
	var c checks
	c.time("the time", r.Time)
	c.name("the tank", r.Tank)
	c.name("the parameter", r.Parameter)
	if r.Text == "" {
		c.fail("the reading has no value")
	}
	c.nameOrNone("the value", r.Text)
	c.nameOrNone("the unit", r.Unit)
	if r.Bound < Exact || r.Bound > Above {
		c.fail("the bound %d is not known", r.Bound)
	}
	c.finite("the value", r.Value)
	c.nameOrNone("the method", r.Method)
	c.text("the note", r.Note)
	return c.err
}

// Validate says why the book cannot keep this dosing.
func (d Dosing) Validate() error {
	var c checks
	c.time("the time", d.Time)
	c.name("the tank", d.Tank)
	c.name("the parameter", d.Parameter)
	c.notNegative("the rise per day", d.PerDay)
	c.nameOrNone("the unit", d.Unit)
	c.nameOrNone("the supplement", d.Supplement)
	c.text("the note", d.Note)
	return c.err
}

// Validate says why the book cannot keep this dose.
func (d Dose) Validate() error {
	var c checks
	c.time("the time", d.Time)
	c.name("the tank", d.Tank)
	c.name("the parameter", d.Parameter)
	c.notNegative("the amount", d.Amount)
	c.nameOrNone("the unit", d.Unit)
	c.nameOrNone("the supplement", d.Supplement)
	c.text("the note", d.Note)
	return c.err
}

// Validate says why the book cannot keep this water change.
func (w WaterChange) Validate() error {
	var c checks
	c.time("the time", w.Time)
	c.name("the tank", w.Tank)
	c.finite("the fraction", w.Fraction)
	if w.Fraction <= 0 || w.Fraction > 1 {
		c.fail("the fraction %s is not above 0 and at most 1", number(w.Fraction))
	}
	for _, parameter := range sortedKeys(w.New) {
		c.name("a parameter of the new water", parameter)
		c.finite("the "+strconv.Quote(parameter)+" of the new water", w.New[parameter].Value)
		c.nameOrNone("a unit of the new water", w.New[parameter].Unit)
	}
	c.text("the note", w.Note)
	return c.err
}

// Validate says why the book cannot keep this event.
func (e Event) Validate() error {
	var c checks
	c.time("the time", e.Time)
	c.name("the tank", e.Tank)
	for _, tag := range e.Tags {
		c.name("a tag", tag)
	}
	c.text("the subject", e.Subject)
	c.text("the text", e.Text)
	if e.Subject == "" && e.Text == "" && len(e.Tags) == 0 {
		c.fail("the event says nothing: it has no tag, no subject and no text")
	}
	return c.err
}

// Validate says why the book cannot keep this word on a chore.
func (ch ChoreDone) Validate() error {
	var c checks
	c.time("the time", ch.Time)
	c.name("the tank", ch.Tank)
	c.name("the chore", ch.Chore)
	c.text("the note", ch.Note)
	return c.err
}

// Validate says why the book cannot keep this acknowledgement.
func (a Acknowledgement) Validate() error {
	var c checks
	c.time("the time", a.Time)
	c.name("the tank", a.Tank)
	c.nameOrNone("the parameter", a.Parameter)
	c.nameOrNone("the subject", a.Subject)
	c.name("the rule", a.Rule)
	if !a.Until.IsZero() {
		c.time("the end of the snooze", a.Until)
	}
	c.text("the note", a.Note)
	return c.err
}

// Validate says why the book cannot keep this strike.
func (s Strike) Validate() error {
	var c checks
	if s.Target.IsZero() {
		c.fail("the strike does not say which entry it strikes")
	}
	if s.Successor == s.Target && !s.Target.IsZero() {
		c.fail("entry %s cannot succeed itself", s.Target)
	}
	c.time("the time of the strike", s.Time)
	c.text("who struck", s.Who)
	c.text("the reason", s.Why)
	return c.err
}

// Validate says why the book cannot keep this draft.
func (d Draft) Validate() error {
	var c checks
	c.name("the tank", d.Tank)
	if !d.Started.IsZero() {
		c.time("the time", d.Started)
	}
	c.text("the time of the test", d.When)
	for _, parameter := range sortedKeys(d.Fields) {
		f := d.Fields[parameter]
		c.name("a parameter of the draft", parameter)
		for _, s := range []string{f.Text, f.Unit, f.Method, f.Note} {
			c.text("a field of "+strconv.Quote(parameter), s)
		}
	}
	return c.err
}
