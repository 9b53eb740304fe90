package report

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/logbook"
)

// PostOptions says how a post is written.
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
	postWeeks      = 8
)

// Post writes the sheet as a post for a forum: what is kept and how it is measured, the latest tests, eight weeks of
// them, what the engine sees and how sure it is, what is dosed, and what was done. Numbers stand in code blocks,
// where no forum takes them for a face or a list.
func (s Sheet) Post(opt PostOptions) string {
	m := opt.Markup
	var b strings.Builder
	b.WriteString(m.title(s.title(opt.Private)))
	b.WriteString(m.paragraph(s.about()))
	for _, part := range []struct {
		head  string
		lines []string
	}{
		{"Latest tests (levels with their 80 % range)", s.latest()},
		{fmt.Sprintf("%d weeks, the last test of each, under the day the week ends", postWeeks), s.weeks()},
		{"Methods", s.methods()},
		{"What the logbook's model sees (80 % ranges)", s.seen()},
		{"Dosing and demand", s.dosing()},
		{"Done and seen since " + dayText(s.Since), s.done(opt.Private)},
	} {
		if len(part.lines) > 0 {
			b.WriteString(m.block(part.head, part.lines))
		}
	}
	return strings.TrimRight(b.String(), "\n") + "\n"
}

func (s Sheet) title(private bool) string {
	name := said(s.Report.Tank.Name)
	if private {
		name = "A tank"
	}
	return name + ", " + dayText(s.Report.AsOf)
}

func (s Sheet) about() string {
	var parts []string
	t := s.Report.Tank
	if t.VolumeL > 0 {
		parts = append(parts, plain(t.VolumeL)+" L of water")
	}
	if t.Since != "" {
		parts = append(parts, "since "+said(t.Since))
	}
	if t.About != "" {
		parts = append(parts, said(t.About))
	}
	return strings.Join(parts, "; ")
}

// latest is the newest reading of every parameter beside the level, the band and the floor.
func (s Sheet) latest() []string {
	rows := [][]string{{"", "unit", "latest", "age", "level", "band", "", "floor"}}
	for _, l := range s.Report.Findings {
		if len(l.Readings) == 0 {
			rows = append(rows, []string{said(l.Parameter.Name), said(l.Parameter.Unit), "none", "", "", l.BandText()})
			continue
		}
		last := l.Readings[len(l.Readings)-1]
		state := ""
		if l.Band.Set() {
			state = strings.ReplaceAll(string(l.BandState), "_", " ")
		}
		floor := ""
		if !math.IsNaN(l.Band.Floor) {
			floor = alerts.Number(l.Parameter, l.Band.Floor)
		}
		rows = append(rows, []string{said(l.Parameter.Name), said(l.Parameter.Unit), valueText(l.Parameter, last),
			ageText(last.Time, s.Report.AsOf), levelRange(l), l.BandText(), state, floor})
	}
	if len(rows) == 1 {
		return nil
	}
	return atMost(table(rows), postParameters+1)
}

func levelRange(l alerts.Finding) string {
	as := l.Assessment
	if math.IsNaN(as.Level) {
		return "unknown"
	}
	n := func(v float64) string { return alerts.Number(l.Parameter, v) }
	return fmt.Sprintf("%s (%s–%s)", n(as.Level), n(as.LevelLo), n(as.LevelHi))
}

// weeks has a row for every parameter tested in the last eight weeks and a column for each of them, headed by its
// last day.
func (s Sheet) weeks() []string {
	head := []string{""}
	for w := range postWeeks {
		head = append(head, shortDay(s.Report.AsOf.AddDate(0, 0, 7*(w+1-postWeeks))))
	}
	rows := [][]string{head}
	for _, l := range s.Report.Findings {
		row, any := []string{said(l.Parameter.Name)}, false
		last := picture.Latest(l.Readings, s.Report.AsOf, 7*postWeeks, postWeeks)
		for _, r := range last {
			cell := "·"
			if r != nil {
				cell, any = valueText(l.Parameter, *r), true
			}
			row = append(row, cell)
		}
		if any {
			rows = append(rows, append(row, picture.Sparkline(last, l.Band)))
		}
	}
	if len(rows) == 1 {
		return nil
	}
	return atMost(table(rows), postParameters+1)
}

func (s Sheet) methods() []string {
	var rows [][]string
	for _, m := range s.Methods {
		rows = append(rows, []string{said(m.Parameter), said(m.Name), methodText(m)})
	}
	return atMost(cutAll(table(rows)), postMethods)
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
		text := said(l.Parameter.Name) + ": " + l.LevelText() + ", " + l.SlopeText()
		if !math.IsNaN(l.Assessment.Floor) {
			text += "; " + l.FloorText(s.Report.AsOf)
			if !l.Assessment.BottomedOut && !math.IsInf(l.Assessment.FloorP10, 1) && !math.IsNaN(l.Assessment.PFloor42) {
				text += " (chance within 42 days " + alerts.Percent(l.Assessment.PFloor42) + ")"
			}
		}
		if len(l.Alerts) == 0 {
			then = append(then, wrap(text, postWidth, "  ")...)
			continue
		}
		first = append(first, wrap("! "+text, postWidth, "  ")...)
	}
	if sentences == 0 {
		return nil
	}
	return atMost(append(first, then...), 2*postSentences)
}

func (s Sheet) dosing() []string {
	var lines []string
	for _, d := range s.Dosings {
		text := fmt.Sprintf("%s: %s a day", said(d.Parameter), alerts.RiseText(d.PerDay, d.Unit)) + from(d.Supplement)
		lines = append(lines, wrap(text+", since "+dayText(d.Time.In(s.Report.AsOf.Location())), postWidth, "  ")...)
	}
	for _, d := range s.Demands {
		lines = append(lines, wrap(said(d.Text()), postWidth, "  ")...)
	}
	return atMost(lines, postDosings)
}

// done lists what was done and seen; chores of the same name in one line, for most of them are routine.
func (s Sheet) done(private bool) []string {
	zone := s.Report.AsOf.Location()
	type kind struct {
		text string
		days []string
	}
	var kinds []*kind
	byText := map[string]*kind{}
	for _, e := range s.Done {
		text := entryText(e, private)
		if _, routine := e.(logbook.Event); routine || byText[text] == nil {
			k := &kind{text: text}
			kinds, byText[text] = append(kinds, k), k
		}
		k := byText[text]
		if day := shortDay(e.When().In(zone)); len(k.days) == 0 || k.days[len(k.days)-1] != day {
			k.days = append(k.days, day)
		}
	}
	var lines []string
	for _, k := range kinds {
		days := strings.Join(k.days, ", ")
		if n := len(k.days); n > 3 {
			days = fmt.Sprintf("%s, … %s (%d times)", k.days[0], k.days[n-1], n)
		}
		lines = append(lines, days+": "+k.text)
	}
	return newest(cutAll(lines), postDone)
}

// cutAll cuts lines to the width of a post.
func cutAll(lines []string) []string {
	for i := range lines {
		lines[i] = ansi.Truncate(lines[i], postWidth, "…")
	}
	return lines
}
