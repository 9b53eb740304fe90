package look

import (
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/logbook"
)

func newTrend(a *app.App) *cobra.Command {
	var window string
	var why bool
	cmd := a.Command("trend PARAMETER", shape.Assessment{}, func(args []string) error {
		return showTrend(a, args[0], window, why)
	})
	cmd.Flags().StringVar(&window, "window", "", "`LENGTH` of the rolling view: 56d, 8w, or all")
	cmd.Flags().BoolVar(&why, "why", false,
		"also what it rests on: the chances, and what the readings say without a model")
	return cmd
}

func showTrend(a *app.App, parameter, length string, why bool) error {
	return a.ViewSubject(parameter, func(v *logbook.View, tank logbook.Tank, p logbook.Parameter, asOf time.Time) error {
		window, err := windowDays(v, tank, p, length, asOf)
		if err != nil {
			return err
		}
		l, err := alerts.ExamineParameter(v, tank, p, asOf, window)
		if err != nil {
			return err
		}
		return a.Answer(shape.AssessmentOf(l, asOf), func() { printTrend(a, l, asOf, why) })
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
	return app.ParseDays("--window", text)
}

func printTrend(a *app.App, l alerts.Finding, asOf time.Time, why bool) {
	a.PrintAs(words.Head, "%s of %s as of %s", l.Parameter.Name, words.OneLine(l.Tank.Name), words.Moment(asOf))
	if l.Assessment.N == 0 {
		a.Printf("  no readings up to then")
		return
	}
	says := l.Stand(asOf)
	if why {
		says = append(says, l.Why(asOf)...)
	}
	a.Each("  %s", says)
	var c words.Table
	for _, f := range l.Assessment.Forecast {
		c.Add("in "+strconv.FormatFloat(f.Days, 'f', -1, 64)+" days", words.Quantity(l.Parameter, f.Mean),
			"("+words.Between(l.Parameter, f.Lo, f.Hi)+")")
	}
	if len(l.Assessment.Forecast) > 0 {
		a.Printf("  if all goes on as it is (80 %% intervals):")
		a.Table(c, "    ")
	}
	if l.Band.Set() {
		a.Printf("  band %s: %s", l.BandText(), l.BandWords())
	}
	for _, al := range l.Alerts {
		printAlert(a, "  ", al, asOf)
	}
}
