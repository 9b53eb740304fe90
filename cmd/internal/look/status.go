// Package look holds the commands that answer questions about the water: how it stands, where it is heading, what
// changed.
package look

import (
	"cmp"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/logbook"
)

func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newStatus(a), newTrend(a), newChart(a), newYear(a), newHindcast(a), newDemand(a), newAlerts(a),
		newChanged(a), newReadings(a), newCompare(a), newTable(a)}
}

func newStatus(a *app.App) *cobra.Command {
	return a.Command("status", StatusJSON{}, func([]string) error { return ShowStatus(a) })
}

// ShowStatus prints the status of the book that is meant, PrintStatus that of a book.
func ShowStatus(a *app.App) error {
	book, err := a.Book()
	if err != nil {
		return err
	}
	return PrintStatus(a, book)
}

func PrintStatus(a *app.App, book *logbook.Book) error {
	reports, err := a.Examine(book)
	if err != nil {
		return err
	}
	if a.JSON {
		asOf, err := a.AsOf(logbook.Tank{}) // where there is no tank
		if err != nil {
			return err
		}
		for _, r := range reports {
			asOf = r.AsOf
		}
		_, last := a.Backups(book.Path())
		return a.PrintJSON(StatusJSON{shape.Moment(asOf), words.Of(reports, tankStatusOf), shape.Moment(last)})
	}
	if len(reports) == 0 {
		a.Printf("no tank yet; leadline tank add NAME starts one")
	}
	if a.Plain() {
		return PrintGlance(a, book, reports)
	}
	for i, r := range reports {
		if i > 0 {
			a.Printf("")
		}
		printReport(a, r)
	}
	_, last := a.Backups(book.Path())
	const day = 24 * time.Hour
	info, err := os.Stat(book.Path())
	if err == nil && !last.IsZero() && info.ModTime().Sub(last) > day && a.Now().Sub(last) > day {
		a.Printf("the last backup is of %s, older than what was noted since; leadline verify says where they go",
			words.Moment(last))
	}
	return nil
}

func printReport(a *app.App, r alerts.Report) {
	a.PrintAs(words.Head, "%s as of %s", words.OneLine(r.Tank.Name), words.Moment(r.AsOf))
	for _, al := range r.Joined() {
		printAlert(a, "  ", al, r.AsOf)
	}
	c := words.Table{Ranks: []int{0, 0, 0, 4, 5, 2, 1, 0, 3}}
	if len(r.Findings) == 0 {
		a.Printf("  no readings yet; leadline add nitrate=4.2 notes one")
	} else {
		c.AddAs(words.Head, "", "", "latest", "age", "level (80 %)", "heading", "band", "floor in", "test")
	}
	for _, l := range r.Findings {
		latest, age, band := "no reading", "", ""
		if len(l.Readings) > 0 {
			latest, age = words.Shown(l.Parameter, app.LastReading(l)), words.Age(app.LastReading(l).Time, r.AsOf)
		}
		if l.Band.Set() {
			band = l.BandWords()
		}
		c.AddAs(app.LookOf("", l.Alerts, r.AsOf), mark(l, r.AsOf), l.Parameter.Name, latest, age, l.LevelRange(),
			l.HeadingWords(), band, l.FloorDays(), l.DueText(r.AsOf))
	}
	a.Table(c, "")
	var supplies words.Table
	for _, s := range r.Stocks {
		supplies.AddAs(app.LookOf(s.Name, r.Alerts, r.AsOf), "stock", s.Name, s.Text(r.AsOf))
	}
	for _, ch := range r.Chores {
		supplies.AddAs(app.LookOf(ch.Name, r.Alerts, r.AsOf), "chore", ch.Name,
			cmp.Or(words.With("next ", ch.DueText(r.AsOf)), ch.Text(r.AsOf)))
	}
	a.Table(supplies, "  ")
}

// mark is "!" where something about the level is open.
func mark(l alerts.Finding, asOf time.Time) string {
	if al, ok := l.Gravest(); ok && al.Open(asOf) {
		return "!"
	}
	return " "
}

func printAlert(a *app.App, lead string, al alerts.Alert, asOf time.Time) {
	a.PrintAs(app.LookOf(al.Subject, []alerts.Alert{al}, asOf), "%s%s", lead, alertText(al, asOf))
}

func alertText(al alerts.Alert, asOf time.Time) string {
	return al.Severity.String() + words.With(", ", al.Answer(asOf)) + ": " + al.Headline
}

// StatusJSON is the morning glance.
type StatusJSON struct {
	AsOf  shape.Moment     `json:"as_of"`
	Tanks []tankStatusJSON `json:"tanks"`

	LastBackup shape.Moment `json:"last_backup"` // of the copies that are made by themselves
}

type tankStatusJSON struct {
	Tank   string        `json:"tank"`
	AsOf   shape.Moment  `json:"as_of"`
	Lines  []lineJSON    `json:"lines"`
	Stocks []shape.Stock `json:"stocks"`
	Chores []shape.Chore `json:"chores"`
	Alerts []shape.Alert `json:"alerts"`
}

// lineJSON is an assessment with what a glance adds to it.
type lineJSON struct {
	shape.Assessment
	EveryDays shape.Number  `json:"every_days"` // 0: on occasion
	Due       shape.Moment  `json:"due"`
	Supply    shape.Number  `json:"supply_per_day"`
	Alerts    []shape.Alert `json:"alerts"`
}

func tankStatusOf(r alerts.Report) tankStatusJSON {
	return tankStatusJSON{Tank: r.Tank.Name, AsOf: shape.Moment(r.AsOf),
		Lines: words.Of(r.Findings, func(l alerts.Finding) lineJSON {
			return lineJSON{shape.AssessmentOf(l, r.AsOf), shape.Number(l.EveryDays), shape.Moment(l.Due),
				shape.Number(l.Supply), shape.AlertsOf(l.Alerts, r.AsOf)}
		}),
		Stocks: words.Of(r.Stocks, func(s alerts.Stock) shape.Stock { return shape.StockOf(s, r.AsOf) }),
		Chores: words.Of(r.Chores, shape.ChoreOf), Alerts: shape.AlertsOf(r.Alerts, r.AsOf)}
}

// SayAlerts opens the morning glance: the tanks, how much needs the keeper, a headline for each, and what is half
// typed.
func SayAlerts(a *app.App, book *logbook.Book, reports []alerts.Report) error {
	if len(reports) == 0 {
		a.Sentence("no tank yet; tank add NAME starts one")
		return nil
	}
	var open, urgent []string // urgent: answered, and told all the same
	seen := 0
	for _, r := range reports {
		for _, al := range r.Joined() {
			switch text := words.OneLine(r.Tank.Name) + ", " + alertText(al, r.AsOf); {
			case al.Open(r.AsOf):
				open = append(open, text)
			case al.Severity == alerts.Urgent:
				urgent = append(urgent, text)
			default:
				seen++
			}
		}
	}
	names := words.List(reports, func(r alerts.Report) string { return words.OneLine(r.Tank.Name) })
	a.Sentence("%s: %s, as of %s", words.Plural(len(reports), "tank", "tanks"), names,
		reports[0].AsOf.Format("Monday 2 January 2006 15:04"))
	switch {
	case len(open) > 0:
		a.Sentence("%s", words.Plural(len(open), "alert", "alerts"))
	case len(urgent) == 0:
		a.Sentence("nothing needs you now")
	}
	for _, text := range append(open, urgent...) {
		a.Sentence("%s", text)
	}
	if seen > 0 {
		a.Sentence("%s seen or snoozed; alerts --all tells them", words.Plural(seen, "alert is", "alerts are"))
	}
	return sayDrafts(a, book, reports)
}

// PrintGlance prints the morning glance as sentences, one a line: what wants the keeper first, then every parameter,
// those with an alert before the others, stocks and chores.
func PrintGlance(a *app.App, book *logbook.Book, reports []alerts.Report) error {
	if err := SayAlerts(a, book, reports); err != nil {
		return err
	}
	for _, r := range reports {
		if len(r.Findings) == 0 {
			a.Sentence("%s has no readings yet; add nitrate=4.2 notes one", words.OneLine(r.Tank.Name))
		}
		lines := slices.Clone(r.Findings)
		slices.SortStableFunc(lines, func(x, y alerts.Finding) int {
			return strings.Compare(mark(y, r.AsOf), mark(x, r.AsOf))
		})
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
				a.Sentence("a test day of %s is half typed, of %s; test %s goes on with it", words.OneLine(r.Tank.Name),
					words.Moment(draft.Started.In(r.Tank.Zone())), words.OneLine(r.Tank.Name))
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
	parts := []string{"last " + words.Shown(l.Parameter, app.LastReading(l)) + ", " +
		words.Ago(app.LastReading(l).Time, asOf)}
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
