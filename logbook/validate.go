package logbook

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

const (
	longestName = 200    // bytes
	longestText = 30_000 // bytes, of a note or any other free text
)

// Validate says why the book cannot keep a record. Whether the value of a reading is possible for its parameter was
// asked where its text was read.
func Validate(rec Record) error {
	var c checker
	rec.fields(&c)
	if change, is := rec.(Change); is && change.Noted.Year() >= lastYear {
		c.fail("the moment of the change is %s, after which nothing could be noted", change.Noted.Format(time.DateOnly))
	}
	return c.err
}

type checker struct {
	inOrder
	checks
}

func (c *checker) check(more func(*checks)) { more(&c.checks) }
func (c *checker) count(string, *int)       {}
func (c *checker) yes(string, *bool)        {}
func (c *checker) id(string, *ID, rule)     {}

func (c *checker) key(_ keyPart, _, what string, s *string, _ rule) { c.name(what, *s) }

func (c *checker) entry(_ *ID, t *time.Time, tank *string) {
	c.time("the time", *t)
	c.name("the tank", *tank)
}

func (c *checker) value(r *Reading) {
	if r.Text == "" {
		c.fail("the reading has no value")
	}
	c.nameOrNone("the value", r.Text)
	c.nameOrNone("the unit", r.Unit)
	if r.Bound < Exact || r.Bound > Above {
		c.fail("the bound %d is not known", r.Bound)
	}
	c.checks.number("the value", r.Value, 0)
}

func (c *checker) text(_, what string, s *string, r rule) {
	switch {
	case r.is(freeText):
		c.checks.text(what, *s)
	case r.is(needed):
		c.name(what, *s)
	default:
		c.nameOrNone(what, *s)
	}
}

func (c *checker) texts(name, what string, ss *[]string, r rule) {
	for i, s := range *ss {
		c.name(what, s)
		if r.is(ofParameter) && slices.Contains((*ss)[:i], s) {
			c.fail("%s is in the %s twice", quote(s), name)
		}
	}
}

func (c *checker) number(_, what string, f *float64, r rule) { c.checks.number(what, *f, r) }

func (c *checker) numbers(name, what string, fs *[]float64) {
	for i := range *fs {
		c.number(name, what, &(*fs)[i], 0)
	}
}

func (c *checker) maybe(name, what string, f **float64, r rule) {
	if *f != nil {
		c.number(name, what, *f, r)
	}
}

func (c *checker) moment(_, what string, t *time.Time, r rule) {
	if !t.IsZero() || r.is(needed) {
		c.time(what, *t)
	}
}

func (c *checker) object(_ string, present bool, fields func()) {
	if present {
		fields()
	}
}

func (c *checker) each(_, what string, parameters []string, fields func(int, string)) {
	for i, parameter := range parameters {
		c.name("a parameter of the "+what, parameter)
		if slices.Contains(parameters[:i], parameter) {
			c.fail("there are two %s of %q", what, parameter)
		}
		fields(i, parameter)
	}
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
		c.fail("%s %.20q… is %d bytes long, and %d is the most", what, s, len(s), longestName)
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
		c.fail("%s %.20q… is %d bytes long, and %d is the most", what, s, len(s), longestText)
	case !utf8.ValidString(s):
		c.fail("%s %.20q… is not UTF-8", what, s)
	}
}

func (c *checks) time(what string, t time.Time) {
	switch {
	case t.IsZero():
		c.fail("%s is missing", what)
	case !yearKept(t):
		c.fail("%s %s is not between the years %d and %d", what, t.Format(time.RFC3339), firstYear, lastYear)
	}
}

func (c *checks) number(what string, f float64, r rule) {
	switch {
	case math.IsNaN(f) || math.IsInf(f, 0):
		c.fail("%s %v is not a number", what, f)
	case r.is(positive) && f <= 0:
		c.fail("%s %s is not above zero", what, number(f))
	case r.is(notNegative) && f < 0:
		c.fail("%s %s is below zero", what, number(f))
	}
}

func number(f float64) string { return strconv.FormatFloat(f, 'g', -1, 64) }

func countTrue(is ...bool) (n int) {
	for _, yes := range is {
		if yes {
			n++
		}
	}
	return n
}
