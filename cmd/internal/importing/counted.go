package importing

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/logbook"
)

// counted is a batch that counts what kinds it holds, and its unlikely readings.
type counted struct {
	logbook.Batch
	byKind     map[logbook.Kind]int
	parameters map[string]logbook.Parameter
	notes      *logbook.TableNotes
	unlikely   int
	warnings   []string  // of the first few unlikely readings
	seen       *seenRows // for a preview; nil without

	named, described map[string]bool // the tanks that entries name, and those that the file describes
	last             string          // of those named

	// readings that came, where one that comes again is left out: series, moment, what it says; nil: it is not
	once    map[[3]any]bool
	isKnown bool // the book had all of it
}

// mostWarnings is how many unlikely readings of a file are named.
const mostWarnings = 5

func newCounted(known []logbook.Parameter, notes *logbook.TableNotes, preview bool) *counted {
	c := &counted{byKind: map[logbook.Kind]int{}, parameters: map[string]logbook.Parameter{}, notes: notes,
		named: map[string]bool{}, described: map[string]bool{}}
	for _, p := range known {
		c.parameters[p.Name] = p
	}
	if preview {
		c.seen = &seenRows{series: map[[2]string]*seenSeries{}}
	}
	return c
}

func (c *counted) add(rec logbook.Record) error {
	if r, is := rec.(*logbook.Reading); is && c.once != nil {
		said := [3]any{[2]string{r.Tank, r.Parameter}, r.Time.UnixNano(), [5]string{r.Text, r.Unit, r.Method, r.Note, r.Who}}
		if c.once[said] {
			return nil
		}
		c.once[said] = true
	}
	c.byKind[rec.Kind()]++
	if r, is := rec.(*logbook.Reading); is {
		c.look(r)
		if c.seen != nil {
			c.seen.take(*r, c.notes.Last)
		}
	}
	switch r := rec.(type) {
	case logbook.Tank:
		c.described[r.Name] = true
	case interface{ TankName() string }:
		if name := r.TankName(); name != c.last {
			c.last, c.named[name] = name, true
		}
	}
	return c.Batch.Add(rec)
}

// newTanks are the tanks that the file names and neither describes nor finds in a book that has some.
func (c *counted) newTanks(k known) (names []string) {
	for _, name := range slices.Sorted(maps.Keys(c.named)) {
		if _, found := logbook.FindTank(k.tanks, name); len(k.tanks) > 0 && !found && !c.described[name] {
			names = append(names, name)
		}
	}
	return names
}

// look counts a reading that lies outside the usual range of its parameter.
func (c *counted) look(r *logbook.Reading) {
	p, known := c.parameters[r.Parameter]
	if !known || p.AskLow <= r.Value && r.Value <= p.AskHigh {
		return
	}
	why, _ := logbook.Unlikely(p, *r)
	if why == "" {
		return
	}
	c.unlikely++
	if len(c.warnings) < mostWarnings {
		c.warnings = append(c.warnings, fmt.Sprintf("%s %s %s: %s", words.Moment(r.Time), r.Tank, p.Name, why))
	}
}

// warnUnlikely names the unlikely readings of a file; they are kept all the same.
func warnUnlikely(a *app.App, c *counted) {
	a.SayEach("warning: %s", words.Of(c.warnings, words.OneLine))
	if more := c.unlikely - len(c.warnings); more > 0 {
		a.Say("warning: and %d more unlikely readings", more)
	}
}

// warnTwice says how many readings look like one test noted twice; they are kept all the same.
func warnTwice(a *app.App, c *counted) {
	if twice := c.Twice(); twice.N > 0 {
		r := twice.First
		a.Say("warning: %s like one test noted twice, the first %s %s %s %s; leadline strike takes one back",
			words.Plural(twice.N, "reading looks", "readings look"), words.Moment(r.Time), words.OneLine(r.Tank),
			words.OneLine(r.Parameter), words.Typed(r))
	}
}

// assumed lists what was taken for granted where the table says nothing: the unit of values, the zone and the hour of
// times, a decimal comma.
func assumed(c *counted, k known) []string {
	var notes []string
	n := c.notes
	var units []string
	for _, name := range slices.Sorted(maps.Keys(n.OwnUnit)) {
		if p := c.parameters[name]; p.Unit != "" && p.Unit != "pH" {
			units = append(units, fmt.Sprintf("%s was taken in %s (%s)", name, p.Unit,
				words.Plural(n.OwnUnit[name], "value", "values")))
		}
	}
	if len(units) > 0 {
		notes = append(notes, "no unit is named, so "+strings.Join(units, ", ")+"; --units PARAMETER=UNIT says another")
	}
	for _, tank := range slices.Sorted(maps.Keys(n.Zoneless)) {
		whose := "the zone of " + tank
		_, inBook := logbook.FindTank(k.tanks, tank)
		switch {
		case k.given != nil:
			whose = "as told"
		case !inBook:
			whose = "since " + tank + " is new and has no zone; --timezone ZONE gives it one"
		case k.zone(tank).String() == "UTC":
			whose = "the zone of " + tank + "; --timezone ZONE says another"
		}
		notes = append(notes, fmt.Sprintf("the time of %s has no offset and was taken in %s, %s",
			words.Plural(n.Zoneless[tank], "reading", "readings"), k.zone(tank), whose))
	}
	if n.DaysAlone > 0 {
		notes = append(notes, fmt.Sprintf("the time of %s is a day alone and was taken for its noon",
			words.Plural(n.DaysAlone, "reading", "readings")))
	}
	if n.Dashes > 0 {
		notes = append(notes, fmt.Sprintf("%s a dash, and nothing was taken from there",
			words.Plural(n.Dashes, "cell holds", "cells hold")))
	}
	if n.DecimalCommas > 0 {
		notes = append(notes, fmt.Sprintf("the decimal comma of %s was read as one: %s as %s",
			words.Plural(n.DecimalCommas, "value", "values"), n.DecimalComma, strings.Replace(n.DecimalComma, ",", ".", 1)))
	}
	return notes
}
