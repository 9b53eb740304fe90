package look

import (
	"slices"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/logbook"
)

// SayAlerts opens the morning glance: the tanks, how much needs the keeper, a headline for each, and what is half typed.
func SayAlerts(a *app.App, book *logbook.Book, reports []alerts.Report) error {
	if len(reports) == 0 {
		a.Sentence("no tank yet; tank add NAME starts one")
		return nil
	}
	var open []string
	seen := 0
	for _, r := range reports {
		for _, al := range r.Joined() {
			if !al.Open(r.AsOf) {
				seen++
			} else {
				open = append(open, words.OneLine(r.Tank.Name)+", "+alertText(al, r.AsOf))
			}
		}
	}
	names := words.List(reports, func(r alerts.Report) string { return words.OneLine(r.Tank.Name) })
	a.Sentence("%s: %s, as of %s", words.Plural(len(reports), "tank", "tanks"), names, reports[0].AsOf.Format("Monday 2 January 2006 15:04"))
	if len(open) == 0 {
		a.Sentence("nothing needs you now")
	} else {
		a.Sentence("%s", words.Plural(len(open), "alert", "alerts"))
	}
	for _, text := range open {
		a.Sentence("%s", text)
	}
	if seen > 0 {
		a.Sentence("%s seen or snoozed; alerts --all tells them", words.Plural(seen, "alert is", "alerts are"))
	}
	return sayDrafts(a, book, reports)
}

// PrintGlance prints the morning glance as sentences, one a line: what wants the keeper first, then every parameter, those
// with an alert before the others, stocks and chores.
func PrintGlance(a *app.App, book *logbook.Book, reports []alerts.Report) error {
	if err := SayAlerts(a, book, reports); err != nil {
		return err
	}
	for _, r := range reports {
		if len(r.Findings) == 0 {
			a.Sentence("%s has no readings yet; add nitrate=4.2 notes one", words.OneLine(r.Tank.Name))
		}
		lines := slices.Clone(r.Findings)
		slices.SortStableFunc(lines, func(x, y alerts.Finding) int { return strings.Compare(mark(y, r.AsOf), mark(x, r.AsOf)) })
		for _, l := range lines {
			a.Sentence("%s, %s", words.OneLine(r.Tank.Name), lineSentence(l, r.AsOf))
		}
		for _, s := range r.Stocks {
			a.Sentence("%s, stock %s: %s", words.OneLine(r.Tank.Name), words.OneLine(s.Name), s.Text(r.AsOf))
		}
		for _, c := range r.Chores {
			a.Sentence("%s, chore %s: %s", words.OneLine(r.Tank.Name), words.OneLine(c.Name), c.Text(r.AsOf))
		}
	}
	return nil
}

// sayDrafts tells of test days that are half typed.
func sayDrafts(a *app.App, book *logbook.Book, reports []alerts.Report) error {
	return book.View(func(v *logbook.View) error {
		for _, r := range reports {
			draft, found, err := v.Draft(r.Tank.Name)
			if err != nil {
				return err
			}
			if found {
				a.Sentence("a test day of %s is half typed, of %s; test %s goes on with it", words.OneLine(r.Tank.Name), words.Moment(draft.Started.In(r.Tank.Zone())), words.OneLine(r.Tank.Name))
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
	parts := []string{"last " + words.Shown(l.Parameter, app.LastReading(l)) + ", " + words.Ago(app.LastReading(l).Time, asOf)}
	if l.Assessment.N > 0 {
		parts = append(parts, "level "+l.LevelText(), l.SlopeText())
	}
	if l.Band.Set() {
		parts = append(parts, l.BandWords()+", the band is "+l.BandText())
	}
	if l.FloorDays() != "" {
		parts = append(parts, l.FloorText(asOf))
	}
	if due := l.DueText(asOf); due != "" {
		parts = append(parts, "next test "+due)
	}
	return l.Parameter.Name + ": " + strings.Join(parts, "; ")
}
