// Package report makes what leaves the program: a post for a forum, and charts as pictures or text. It takes what
// package alerts says and lays it out; it reckons nothing itself. Text of others goes through logbook.Clean on its
// way.
package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/logbook"
)

// Sheet is what a helper asks for about a tank, as-of a moment.
type Sheet struct {
	Report  alerts.Report
	Since   time.Time        // from when on readings, doses and events are told
	Methods []logbook.Method // described ones that the readings since then name, by parameter in the report's order
	Demands []alerts.Demand  // of what is dosed
	Dosings []logbook.Dosing // in force, one per parameter and supplement, that bring something
	Done    []logbook.Entry  // what was done and seen from Since on, in time order
	Known   words.Known
}

// Gather collects a sheet. Times of the sheet are in the zone of asOf.
func Gather(v *logbook.View, tank string, asOf, since time.Time) (Sheet, error) {
	r, err := alerts.Examine(v, tank, asOf)
	if err != nil {
		return Sheet{}, err
	}
	s := Sheet{Report: r, Since: since}
	var errs [4]error
	s.Methods, errs[0] = methodsIn(v, r.Findings, since)
	s.Dosings, errs[1] = v.DosingsBefore(tank, "", asOf.Add(time.Nanosecond))
	s.Known, errs[2] = words.Know(v, tank)
	s.Done, errs[3] = picture.Done(v, tank, since, asOf)
	if err := cmp.Or(errs[:]...); err != nil {
		return Sheet{}, err
	}
	s.Dosings = slices.DeleteFunc(s.Dosings, func(d logbook.Dosing) bool { return d.PerDay == 0 })
	for _, l := range r.Findings {
		if len(l.Readings) == 0 || l.Supply == 0 {
			continue
		}
		d, err := alerts.DemandOf(v, r.Tank, l.Parameter, asOf)
		if err != nil {
			return Sheet{}, err
		}
		s.Demands = append(s.Demands, d)
	}
	return s, nil
}

func methodsIn(v *logbook.View, lines []alerts.Finding, since time.Time) ([]logbook.Method, error) {
	all, err := v.Methods()
	if err != nil {
		return nil, err
	}
	var used []logbook.Method
	for _, l := range lines {
		for _, m := range all {
			named := func(r logbook.Reading) bool { return r.Method == m.Name && !r.Time.Before(since) }
			if m.Parameter == l.Parameter.Name && slices.ContainsFunc(l.Readings, named) {
				used = append(used, m)
			}
		}
	}
	return used, nil
}

type PostOptions struct {
	Markup  Markup
	Private bool // without the tank's name, and without what was written in notes, events and chores
}

// How long a post may become. A helper reads one screen or two; what is cut is counted.
const (
	postWidth      = 80
	postParameters = 14
	postMethods    = 10
	postSentences  = 9
	postDosings    = 12
	postDone       = 12
	postRoutine    = 4
	postWeeks      = 8
)

// Post writes the sheet as a post for a forum: what is kept and how it is measured, the latest tests, eight weeks of
// them, what the engine sees and how sure it is, what is dosed, and what was done. Numbers stand in code blocks,
// where no forum takes them for a face or a list.
func (s Sheet) Post(opt PostOptions) string {
	f := forms()[opt.Markup]
	var b strings.Builder
	fmt.Fprintf(&b, f.title, f.words(s.title(opt.Private)))
	if about := s.about(); about != "" {
		fmt.Fprintf(&b, f.paragraph, f.words(about))
	}
	for _, part := range []struct {
		head  string
		lines []string
	}{
		{"Latest tests (levels with their 80 % range)", s.latest()},
		{fmt.Sprintf("%d weeks, the last test of each, under the day the week ends", postWeeks), s.weeks()},
		{"Methods", s.methods()},
		{"What the logbook's model sees (80 % ranges)", s.seen()},
		{"Dosing and demand", s.dosing()},
		{"Done and seen since " + words.Day(s.Since), s.done(opt.Private)},
	} {
		if len(part.lines) > 0 {
			b.WriteString(f.filled(part.head, part.lines))
		}
	}
	return strings.TrimRight(b.String(), "\n") + "\n"
}

func (s Sheet) title(private bool) string {
	name := words.OneLine(s.Report.Tank.Name)
	if private {
		name = "A tank"
	}
	return name + ", " + words.Day(s.Report.AsOf)
}

func (s Sheet) about() string {
	var parts []string
	t := s.Report.Tank
	if t.VolumeL > 0 {
		parts = append(parts, words.Plain(t.VolumeL)+" L of water")
	}
	if t.Since != "" {
		parts = append(parts, "since "+words.OneLine(t.Since))
	}
	if t.About != "" {
		parts = append(parts, words.OneLine(t.About))
	}
	return strings.Join(parts, "; ")
}

// latest is the newest reading of every parameter beside the level, the band and the floor.
func (s Sheet) latest() []string {
	var table words.Table
	table.Add("", "unit", "latest", "age", "level", "band", "", "floor")
	for _, l := range s.Report.Findings {
		if len(l.Readings) == 0 {
			table.Add(l.Parameter.Name, words.Unit(l.Parameter), "none", "", "", l.BandText())
			continue
		}
		last := l.Readings[len(l.Readings)-1]
		state, floor := "", ""
		if l.Band.Set() {
			state = l.BandWords()
		}
		if !math.IsNaN(l.Band.Floor) {
			floor = words.Number(l.Parameter, l.Band.Floor)
		}
		table.Add(l.Parameter.Name, words.Unit(l.Parameter), words.Value(l.Parameter, last),
			words.Age(last.Time, s.Report.AsOf), l.LevelRange(), l.BandText(), state, floor)
	}
	return below(table)
}

// weeks has a row for every parameter tested in the last eight weeks and a column for each of them, headed by its
// last day.
func (s Sheet) weeks() []string {
	head := []string{""}
	for w := range postWeeks {
		head = append(head, words.ShortDay(s.Report.AsOf.AddDate(0, 0, 7*(w+1-postWeeks))))
	}
	var table words.Table
	table.Add(head...)
	for _, l := range s.Report.Findings {
		row, any := []string{l.Parameter.Name}, false
		last := picture.Latest(l.Readings, s.Report.AsOf, 7*postWeeks, postWeeks)
		for _, r := range last {
			cell := "·"
			if r != nil {
				cell, any = words.Value(l.Parameter, *r), true
			}
			row = append(row, cell)
		}
		if any {
			table.Add(append(row, picture.Sparkline(last, l.Band))...)
		}
	}
	return below(table)
}

// below are the lines of a table under its head; none without any.
func below(table words.Table) []string {
	lines := table.Lines("", 0, nil)
	if len(lines) == 1 {
		return nil
	}
	return atMost(lines, postParameters+1)
}

func (s Sheet) methods() []string {
	var table words.Table
	for _, m := range s.Methods {
		table.Add(m.Parameter, m.Name, words.Method(m))
	}
	return atMost(cutAll(table.Lines("", 0, nil)), postMethods)
}

// seen is the engine's word on every parameter, those with an alert first.
func (s Sheet) seen() []string {
	var first, then []string
	sentences := 0
	for _, l := range s.Report.Findings {
		if l.Assessment.N == 0 {
			continue
		}
		sentences++
		text := words.OneLine(l.Parameter.Name) + ": " + l.LevelText() + ", " + l.SlopeText()
		if !math.IsNaN(l.Assessment.Floor) {
			text += "; " + l.FloorText(s.Report.AsOf)
		}
		a, alert := l.Gravest()
		if !alert {
			then = append(then, words.Hang("", "  ", text, postWidth, 0)...)
			continue
		}
		first = append(first, "! "+words.OneLine(a.Headline))
		first = append(first, words.Hang("  ", "  ", text, postWidth, 0)...)
	}
	if sentences == 0 {
		return nil
	}
	return atMost(append(first, then...), 2*postSentences)
}

func (s Sheet) dosing() []string {
	var lines []string
	for _, d := range s.Dosings {
		text := fmt.Sprintf("%s: %s a day", words.OneLine(d.Parameter), s.Known.Amount(d.Parameter, d.PerDay, d.Unit)) +
			words.With(" of ", d.Supplement)
		lines = append(lines, words.Hang("", "  ", text+", since "+words.Day(d.Time.In(s.Report.AsOf.Location())), postWidth,
			0)...)
	}
	for _, d := range s.Demands {
		lines = append(lines, words.Hang("", "  ", words.OneLine(d.Text()), postWidth, 0)...)
	}
	return atMost(lines, postDosings)
}

// done lists what was done and seen, the same in one line, for most of it is routine.
func (s Sheet) done(private bool) []string {
	deeds := picture.Deeds(s.Done, s.Known, private, postDone)
	return atMost(cutAll(words.Of(picture.Listed(deeds, s.Report.AsOf.Location()), picture.Keyed.Line)),
		postDone+postRoutine)
}

func cutAll(lines []string) []string {
	for i := range lines {
		lines[i] = ansi.Truncate(lines[i], postWidth, "…")
	}
	return lines
}

// atMost keeps the first n lines and says how many more there are.
func atMost(lines []string, n int) []string {
	if len(lines) <= n {
		return lines
	}
	return append(lines[:n-1:n-1], fmt.Sprintf("… and %d more", len(lines)-n+1))
}

// Markup is how a forum wants its posts.
type Markup string

const (
	BBCode   Markup = "bbcode"
	Markdown Markup = "markdown"
	Text     Markup = "text"
)

// form is how a markup writes a post: what makes running text, and text that stands as it is, safe in it; its title,
// paragraph and block, which is of a heading, a text, and a fence that the text does not hold.
type form struct {
	words, verbatim         func(string) string
	title, paragraph, block string
}

func forms() map[Markup]form {
	as := func(s string) string { return s }
	indented := func(s string) string { return strings.ReplaceAll(s, "\n", "\n  ") }
	return map[Markup]form{
		BBCode:   {unbracketed, unbracketed, "[b]%s[/b]\n", "%s\n", "\n[b]%[1]s[/b]\n[code]\n%[2]s\n[/code]\n"},
		Markdown: {escaped, as, "## %s\n\n", "%s\n\n", "**%[1]s**\n\n%[3]s\n%[2]s\n%[3]s\n\n"},
		Text:     {as, indented, "%s\n", "%s\n", "\n%[1]s\n  %[2]s\n"},
	}
}

func ParseMarkup(text string) (Markup, error) {
	if _, known := forms()[Markup(text)]; !known {
		return "", fmt.Errorf("unknown format %q", text)
	}
	return Markup(text), nil
}

func (f form) filled(head string, lines []string) string {
	text, fence := strings.Join(lines, "\n"), "```"
	for strings.Contains(text, fence) {
		fence += "`"
	}
	return fmt.Sprintf(f.block, f.words(head), f.verbatim(text), fence)
}

// unbracketed makes text safe in BBCode, which has no escape: its brackets become round ones.
func unbracketed(s string) string { return strings.NewReplacer("[", "(", "]", ")").Replace(s) }

// escaped puts a backslash before every mark that Markdown gives a meaning, and before one that would begin a list or a
// rule; CommonMark allows one before any ASCII punctuation (https://spec.commonmark.org/0.31.2/#backslash-escapes).
func escaped(s string) string {
	const anywhere, first = "\\`*_{}[]<>#|~&!:", "-+="
	digits := len(s) - len(strings.TrimLeft(s, "0123456789"))
	var b strings.Builder
	for i, r := range s {
		switch {
		case strings.ContainsRune(anywhere, r), i == 0 && strings.ContainsRune(first, r), i == digits && i > 0 &&
			(r == '.' || r == ')'):
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}
