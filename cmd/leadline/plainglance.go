package main

import (
	"slices"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

// glance says the morning glance.
func (d *dialogue) glance() error {
	reports, err := d.app.examine(d.book)
	if err != nil {
		return err
	}
	return d.app.printGlance(d.book, reports)
}

// printGlance prints the morning glance as sentences, one a line: what wants the keeper first, then every parameter, those
// with an alert before the others.
func (a *app) printGlance(book *logbook.Book, reports []alerts.Report) error {
	if len(reports) == 0 {
		a.sentence("no tank yet; tank add NAME starts one")
		return nil
	}
	var names []string
	var open []string
	for _, r := range reports {
		name := oneLine(r.Tank.Name)
		names = append(names, name)
		for _, al := range r.Joined() {
			if al.Open(r.AsOf) {
				open = append(open, name+", "+alertText(al, r.AsOf))
			}
		}
	}
	a.sentence("%s: %s, as of %s", plural(len(names), "tank", "tanks"), strings.Join(names, ", "), reports[0].AsOf.Format("Monday 2 January 2006 15:04"))
	if len(open) == 0 {
		a.sentence("nothing needs you now")
	}
	for _, text := range open {
		a.sentence("%s", text)
	}
	if err := a.sayDrafts(book, reports); err != nil {
		return err
	}
	for _, r := range reports {
		if len(r.Findings) == 0 {
			a.sentence("%s has no readings yet; add nitrate=4.2 notes one", oneLine(r.Tank.Name))
		}
		lines := slices.Clone(r.Findings)
		slices.SortStableFunc(lines, func(x, y alerts.Finding) int { return strings.Compare(mark(y, r.AsOf), mark(x, r.AsOf)) })
		for _, l := range lines {
			a.sentence("%s, %s", oneLine(r.Tank.Name), lineSentence(l, r.AsOf))
		}
		for _, s := range r.Stocks {
			a.sentence("%s, stock %s: %s", oneLine(r.Tank.Name), oneLine(s.Name), s.Text(r.AsOf))
		}
		for _, c := range r.Chores {
			a.sentence("%s, chore %s: %s", oneLine(r.Tank.Name), oneLine(c.Name), c.Text())
		}
	}
	return nil
}

// sayDrafts tells of test days that are half typed.
func (a *app) sayDrafts(book *logbook.Book, reports []alerts.Report) error {
	return book.View(func(v *logbook.View) error {
		for _, r := range reports {
			draft, found, err := v.Draft(r.Tank.Name)
			if err != nil {
				return err
			}
			if found {
				a.sentence("a test day of %s is half typed, of %s; test %s goes on with it", oneLine(r.Tank.Name), whenText(draft.Started.In(r.Tank.Zone())), oneLine(r.Tank.Name))
			}
		}
		return nil
	})
}

// lineSentence is what there is to say of a parameter, in one sentence.
func lineSentence(l alerts.Finding, asOf time.Time) string {
	if len(l.Readings) == 0 {
		return l.Parameter.Name + ": no reading yet"
	}
	parts := []string{"last " + readingText(lastReading(l)) + ", " + agoText(lastReading(l).Time, asOf)}
	if l.Assessment.N > 0 {
		parts = append(parts, "level "+l.LevelText(), l.SlopeText())
	}
	if l.Band.Set() {
		parts = append(parts, strings.ReplaceAll(string(l.BandState), "_", " ")+" the band of "+l.BandText())
	}
	if l.FloorDays() != "" {
		parts = append(parts, l.FloorText(asOf))
	}
	switch due := dueCell(l, asOf); due {
	case "":
	case "due":
		parts = append(parts, "a test is due")
	default:
		parts = append(parts, "next test "+due)
	}
	return l.Parameter.Name + ": " + strings.Join(parts, "; ")
}

// agoText is how long ago a moment was.
func agoText(t, asOf time.Time) string {
	days := int(alerts.Day(asOf) - alerts.Day(t))
	switch {
	case days < 1:
		return "less than a day ago"
	default:
		return plural(days, "day", "days") + " ago"
	}
}
