package main

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/logbook"
)

func newStatus(a *app) *cobra.Command {
	return a.prints(statusJSON{}, &cobra.Command{
		Use:   "status",
		Short: "the morning glance: every tank, what needs you and why",
		Example: `  # all tanks, now
  leadline status

  # one tank at the end of 7 March, for a script
  leadline status --tank forereef --as-of 2026-03-07 --json`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error { return a.status() },
	})
}

func (a *app) status() error {
	book, err := a.book()
	if err != nil {
		return err
	}
	return a.statusOf(book)
}

func (a *app) statusOf(book *logbook.Book) error {
	reports, err := a.examine(book)
	if err != nil {
		return err
	}
	if a.json {
		out := statusJSON{Tanks: []tankStatusJSON{}}
		for _, r := range reports {
			out.AsOf = moment(r.AsOf)
			out.Tanks = append(out.Tanks, tankStatusOf(r))
		}
		if len(reports) == 0 {
			asOf, err := a.asOf(logbook.Tank{})
			if err != nil {
				return err
			}
			out.AsOf = moment(asOf)
		}
		return a.printJSON(out)
	}
	if len(reports) == 0 {
		a.printf("no tank yet; leadline tank add NAME starts one")
	}
	if a.plain() {
		return a.printGlance(book, reports)
	}
	for i, r := range reports {
		if i > 0 {
			a.printf("")
		}
		a.printReport(r)
	}
	return nil
}

// reports examines the tanks the command is about, of the book it is about.
func (a *app) reports() ([]alerts.Report, error) {
	book, err := a.book()
	if err != nil {
		return nil, err
	}
	return a.examine(book)
}

// examine examines the tanks the command is about, each as-of the moment in its own zone.
func (a *app) examine(book *logbook.Book) ([]alerts.Report, error) {
	var tanks []logbook.Tank
	err := book.View(func(v *logbook.View) (err error) {
		tanks, err = a.tanks(v)
		return err
	})
	if err != nil {
		return nil, err
	}
	set, _ := a.settings() // a fault in the file is no reason to be silent about the tanks, and what is right in it holds
	outcomes := sideBySide(tanks, func(t logbook.Tank) (report alerts.Report, err error) {
		asOf, err := a.asOf(t)
		if err != nil {
			return report, err
		}
		err = book.View(func(v *logbook.View) error {
			report, err = alerts.Examine(v, t.Name, asOf)
			report.Arrange(set.order)
			return err
		})
		return report, err
	})
	var reports []alerts.Report
	for _, c := range outcomes {
		o := <-c
		if o.err != nil {
			return nil, o.err
		}
		reports = append(reports, o.value)
	}
	return reports, nil
}

func (a *app) printReport(r alerts.Report) {
	a.printf("%s as of %s", oneLine(r.Tank.Name), whenText(r.AsOf))
	if len(r.Findings) == 0 {
		a.printf("  no readings yet; leadline add nitrate=4.2 notes one")
	}
	c := columns{}
	if len(r.Findings) > 0 {
		c.add("", "", "latest", "age", "level (80 %)", "heading", "band", "floor in", "test")
	}
	for _, l := range r.Findings {
		c.add(mark(l, r.AsOf), l.Parameter.Name, latestCell(l), ageCell(l, r.AsOf), levelCell(l), directionCell(l), bandCell(l), l.FloorDays(), dueCell(l, r.AsOf))
	}
	c.print(a, "")
	a.printSupplies(r)
	for _, al := range r.Joined() {
		a.printf("  %s", alertText(al, r.AsOf))
	}
}

// mark is "!" where something is open.
func mark(l alerts.Finding, asOf time.Time) string {
	for _, al := range l.Alerts {
		if al.Open(asOf) {
			return "!"
		}
	}
	return " "
}

func latestCell(l alerts.Finding) string {
	if len(l.Readings) == 0 {
		return "no reading"
	}
	return readingText(lastReading(l))
}

func ageCell(l alerts.Finding, asOf time.Time) string {
	if len(l.Readings) == 0 {
		return ""
	}
	return fmt.Sprintf("%.0f d", math.Floor(alerts.Day(asOf)-alerts.Day(lastReading(l).Time)))
}

func levelCell(l alerts.Finding) string {
	as := l.Assessment
	if math.IsNaN(as.Level) || as.N == 0 {
		return ""
	}
	return fmt.Sprintf("%s (%s–%s)", alerts.Number(l.Parameter, as.Level), alerts.Number(l.Parameter, as.LevelLo), alerts.Number(l.Parameter, as.LevelHi))
}

func directionCell(l alerts.Finding) string {
	if l.Assessment.N == 0 {
		return ""
	}
	return l.Assessment.Direction.String()
}

func bandCell(l alerts.Finding) string {
	if !l.Band.Set() {
		return ""
	}
	return strings.ReplaceAll(string(l.BandState), "_", " ")
}

func dueCell(l alerts.Finding, asOf time.Time) string {
	switch {
	case l.Due.IsZero():
		return ""
	case l.OnTestDay(asOf):
		return "due"
	default:
		return l.Due.Format("2 Jan")
	}
}

// alertText is an alert on one line.
func alertText(al alerts.Alert, asOf time.Time) string {
	state := ""
	switch {
	case al.SnoozedUntil.After(asOf):
		state = ", snoozed until " + dayText(al.SnoozedUntil)
	case al.Acknowledged:
		state = ", acknowledged"
	}
	return fmt.Sprintf("%s since %s%s: %s", al.Severity, dayText(al.Since), state, al.Text)
}

// statusJSON is the morning glance.
type statusJSON struct {
	AsOf  moment           `json:"as_of"`
	Tanks []tankStatusJSON `json:"tanks"`
}

type tankStatusJSON struct {
	Tank   string      `json:"tank"`
	AsOf   moment      `json:"as_of"`
	Lines  []lineJSON  `json:"lines"`
	Stocks []stockJSON `json:"stocks"`
	Chores []choreJSON `json:"chores"`
	Alerts []alertJSON `json:"alerts"`
}

// lineJSON is an assessment with what a glance adds to it.
type lineJSON struct {
	assessmentJSON
	EveryDays number      `json:"every_days"` // 0: on occasion
	Due       moment      `json:"due"`
	Supply    number      `json:"supply_per_day"`
	Alerts    []alertJSON `json:"alerts"`
}

func tankStatusOf(r alerts.Report) tankStatusJSON {
	out := tankStatusJSON{Tank: r.Tank.Name, AsOf: moment(r.AsOf), Lines: []lineJSON{}, Stocks: []stockJSON{}, Chores: []choreJSON{}, Alerts: alertsOf(r.Alerts, r.AsOf)}
	for _, l := range r.Findings {
		out.Lines = append(out.Lines, lineJSON{assessmentOf(l, r.AsOf), number(l.EveryDays), moment(l.Due),
			number(l.Supply), alertsOf(l.Alerts, r.AsOf)})
	}
	for _, s := range r.Stocks {
		out.Stocks = append(out.Stocks, stockOf(s, r.AsOf))
	}
	for _, c := range r.Chores {
		out.Chores = append(out.Chores, choreOf(c))
	}
	return out
}
