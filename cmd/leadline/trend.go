package main

import (
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/logbook"
)

type trendOptions struct{ window string }

func newTrend(a *app) *cobra.Command {
	var opt trendOptions
	cmd := a.prints(assessmentJSON{}, &cobra.Command{
		Use:   "trend PARAMETER",
		Short: "where a parameter stands, where it is heading, and how sure that is",
		Example: `  # phosphate of the only tank, now
  leadline trend phosphate

  # what the readings said at the end of 7 March, with sixteen weeks in the rolling view
  leadline trend po4 --as-of 2026-03-07 --window 112d --json`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: a.completeParameters,
		RunE:              func(cmd *cobra.Command, args []string) error { return a.trend(args[0], opt) },
	})
	cmd.Flags().StringVar(&opt.window, "window", "", "`LENGTH` of the rolling view: 56d, 8w, or all")
	return cmd
}

func (a *app) trend(parameter string, opt trendOptions) error {
	return a.view(func(v *logbook.View) error {
		tank, p, asOf, err := a.subject(v, parameter)
		if err != nil {
			return err
		}
		window, err := windowDays(v, tank, p, opt.window, asOf)
		if err != nil {
			return err
		}
		l, err := alerts.ExamineParameter(v, tank, p, asOf, window)
		if err != nil {
			return err
		}
		if a.json {
			return a.printJSON(assessmentOf(l, asOf))
		}
		a.printTrend(l, asOf)
		return nil
	})
}

// windowDays reads --window; "all" reaches back to the first reading.
func windowDays(v *logbook.View, tank logbook.Tank, p logbook.Parameter, text string, asOf time.Time) (float64, error) {
	switch text {
	case "":
		return 0, nil
	case "all":
		first, found, err := v.FirstReading(tank.Name, p.Name, time.Time{})
		if err != nil || !found || first.Time.After(asOf) {
			return 0, err
		}
		return alerts.Day(asOf) - alerts.Day(first.Time) + 1, nil
	}
	return parseDays("--window", text)
}

// printTrend says an assessment in words.
func (a *app) printTrend(l alerts.Finding, asOf time.Time) {
	a.printf("%s of %s as of %s", l.Parameter.Name, oneLine(l.Tank.Name), whenText(asOf))
	if l.Assessment.N == 0 {
		a.printf("  no readings up to then")
		return
	}
	for _, reason := range l.Reasons(asOf) {
		a.printf("  %s", reason)
	}
	var c columns
	for _, f := range l.Assessment.Forecast {
		c.add("in "+strconv.FormatFloat(f.Days, 'f', -1, 64)+" days", alerts.Quantity(l.Parameter, f.Mean),
			"("+alerts.Number(l.Parameter, f.Lo)+"–"+alerts.Number(l.Parameter, f.Hi)+")")
	}
	if len(c.rows) > 0 {
		a.printf("  if all goes on as it is (80 %% intervals):")
		c.print(a, "    ")
	}
	if l.Band.Set() {
		a.printf("  band %s: %s", l.BandText(), strings.ReplaceAll(string(l.BandState), "_", " "))
	}
	for _, al := range l.Alerts {
		if al.Open(asOf) {
			a.printf("  %s: %s", al.Severity, al.Text)
		}
	}
}
