package entry

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
)

// Context is what the text of an entry is read by, loaded once.
type Context struct {
	Tank        logbook.Tank
	Parameters  []logbook.Parameter
	Methods     []logbook.Method
	Supplements []logbook.Supplement // those described
	Dosings     []logbook.Dosing     // of every supplement the newest of each parameter

	series map[string]alerts.Series     // of what is tested, by parameter
	there  map[string][]logbook.Reading // of about the moment, by parameter
}

// Load loads the context of a tank, which may be one that is not in the book yet, as of a moment, with what the
// readings of some parameters are judged by, where they are tested.
func Load(v *logbook.View, t logbook.Tank, asOf time.Time, tested ...logbook.Parameter) (c Context, err error) {
	c = Context{Tank: t, series: map[string]alerts.Series{}, there: map[string][]logbook.Reading{}}
	for _, p := range tested {
		if _, loaded := c.series[p.Name]; loaded {
			continue
		}
		if c.series[p.Name], err = alerts.SeriesBefore(v, t, p, asOf); err != nil {
			return c, err
		}
		if c.there[p.Name], err = v.Readings(t.Name, p.Name, asOf.Add(-logbook.SameTest),
			asOf.Add(logbook.SameTest)); err != nil {
			return c, err
		}
	}
	var errs [4]error
	c.Parameters, errs[0] = v.Parameters()
	c.Methods, errs[1] = v.Methods()
	c.Supplements, errs[2] = v.Supplements()
	if t.Name != "" {
		c.Dosings, errs[3] = v.DosingsBefore(t.Name, "", asOf.Add(time.Second))
	}
	return c, cmp.Or(errs[:]...)
}

// There are the readings of a parameter of about the moment the context was loaded for.
func (c Context) There(p logbook.Parameter) []logbook.Reading { return c.there[p.Name] }

// Twice is the doubt about a reading that looks like one of those noted before it; "" where it does not. It may be kept
// all the same, for two tests of one water may show one number. same is the one it looks like.
func Twice(r logbook.Reading, noted []logbook.Reading) (why string, same logbook.ID) {
	if old, found := words.First(noted, r.Again); found {
		why = fmt.Sprintf("the same reading of %s is there already: one test noted twice?",
			old.Time.In(r.Time.Location()).Format("15:04"))
		return why, old.ID
	}
	return "", same
}

// CheckMethod refuses a method that is described for other parameters alone.
func (c Context) CheckMethod(p logbook.Parameter, name string) error {
	described := words.Those(c.Methods, func(m logbook.Method) bool { return m.Name == name })
	of := words.Of(described, func(m logbook.Method) string { return m.Parameter })
	if len(of) == 0 || slices.Contains(of, p.Name) {
		return nil
	}
	hint := "leadline method add describes one"
	if own := c.MethodNames(p); len(own) > 0 {
		hint = p.Name + " has " + strings.Join(own, ", ")
	}
	return logbook.Refusal{Field: p.Name, Value: name,
		Reason: fmt.Sprintf("the method %s is for %s", name, strings.Join(of, ", ")), Hint: hint}
}

// Supplement finds a described supplement by its name, in any case.
func (c Context) Supplement(name string) (logbook.Supplement, bool) {
	s, ok := words.First(c.Supplements, func(s logbook.Supplement) bool { return strings.EqualFold(s.Name, name) })
	if !ok {
		s.Name = name
	}
	return s, ok
}

// MethodNames are the names of the methods that are described for a parameter.
func (c Context) MethodNames(p logbook.Parameter) []string {
	of := words.Those(c.Methods, func(m logbook.Method) bool { return m.Parameter == p.Name })
	return words.Of(of, func(m logbook.Method) string { return m.Name })
}

// InUse is the supplement that is meant for a parameter where none is named: the only one that is dosed for it, else
// the only described one that raises it. "" where there is none, or several, which are named then.
func (c Context) InUse(p logbook.Parameter) (name string, among []string) {
	for _, d := range c.Dosings {
		if d.Parameter == p.Name && d.PerDay > 0 && d.Supplement != "" {
			among = append(among, d.Supplement)
		}
	}
	dosed := len(among) > 0
	for _, s := range c.Supplements {
		if by, err := s.Strength(p); err == nil && by > 0 && !dosed {
			among = append(among, s.Name)
		}
	}
	if len(among) == 1 {
		return among[0], nil
	}
	return "", among
}

// WhichSupplement is the error that asks which of several, or of none, is meant for a parameter.
func WhichSupplement(p logbook.Parameter, among []string) error {
	if len(among) == 0 {
		return fmt.Errorf("no supplement that raises %s is described", p.Name)
	}
	return fmt.Errorf("which supplement? %s is raised by %s", p.Name, strings.Join(among, ", "))
}
