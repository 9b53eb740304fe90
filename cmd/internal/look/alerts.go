package look

import (
	"cmp"
	"errors"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

type alertsOptions struct {
	all, exitCode, isNew, dryRun bool
	run                          string
	limit                        time.Duration
}

func newAlerts(a *app.App) *cobra.Command {
	var opt alertsOptions
	var cmd *cobra.Command
	cmd = a.Command("alerts", []shape.Alert{}, func([]string) error {
		switch {
		case opt.isNew && (opt.all || opt.exitCode):
			return usage.Errorf("leave them out", "--all and --exit-code do not go with --new")
		case opt.isNew:
			return tellNews(cmd.Context(), a, opt)
		case opt.run != "" || opt.dryRun || cmd.Flags().Changed("time-limit"):
			return usage.Errorf("leadline alerts --new --run COMMAND", "--run, --time-limit and --dry-run go with --new")
		}
		return listAlerts(a, opt)
	})
	cmd.Args = usage.NoArguments
	cmd.Flags().BoolVar(&opt.isNew, "new", false, "what opened, changed or cleared since --new told it last")
	cmd.Flags().StringVar(&opt.run, "run", "", "with --new: run this `COMMAND` for each, and print nothing")
	cmd.Flags().DurationVar(&opt.limit, "time-limit", 30*time.Second,
		"with --run: how `LONG` one command may take, as 30s or 2m")
	cmd.Flags().BoolVarP(&opt.dryRun, "dry-run", "n", false, "with --new: print what would be told; run and keep nothing")
	cmd.Flags().BoolVar(&opt.exitCode, "exit-code", false, "end with exit code 3 if an alert is open")
	cmd.Flags().BoolVar(&opt.all, "all", false, "also the acknowledged and snoozed ones")
	cmd.AddCommand(newAcknowledge(a), newSnooze(a))
	return cmd
}

func listAlerts(a *app.App, opt alertsOptions) error {
	reports, err := a.Reports()
	if err != nil {
		return err
	}
	var shown []alerts.Alert
	asOf := map[string]time.Time{} // of each tank
	open, hidden := 0, 0
	for _, r := range reports {
		asOf[r.Tank.Name] = r.AsOf
		ones := alerts.OnlyOpen(r.Alerts, r.AsOf)
		open += len(ones)
		if opt.all {
			ones = r.Alerts
		}
		hidden += len(r.Alerts) - len(ones)
		shown = append(shown, ones...)
	}
	if len(reports) > 0 {
		alerts.Sort(shown, reports[0].AsOf)
	}
	if a.JSON {
		out := []shape.Alert{}
		for _, al := range shown {
			out = append(out, shape.AlertsOf([]alerts.Alert{al}, asOf[al.Tank])...)
		}
		err = a.PrintJSON(out)
	} else {
		err = printAlerts(a, reports, shown, asOf, hidden)
	}
	if err == nil && opt.exitCode && open > 0 {
		return app.ErrOpenAlerts
	}
	return err
}

func printAlerts(a *app.App, reports []alerts.Report, shown []alerts.Alert, asOf map[string]time.Time,
	hidden int) error {
	causes, err := app.Seen(a, func(v *logbook.View) (map[string]map[string]string, error) {
		return alerts.Causes(v, reports)
	})
	if err != nil {
		return err
	}
	for _, al := range alerts.Joined(shown, asOf) {
		printAlert(a, words.OneLine(al.Tank)+", ", al, asOf[al.Tank])
		a.Printf("  since %s: %s", words.Day(al.Since), al.Because)
		if cause := causes[al.Tank][al.Parameter]; cause != "" {
			a.Printf("  %s", cause)
		}
	}
	if len(shown) == 0 {
		a.Printf("nothing open")
	}
	if hidden > 0 {
		a.Printf("%s seen or snoozed: --all shows them", words.Plural(hidden, "more is", "more are"))
	}
	return nil
}

type answerOptions struct {
	parameter, rule, subject, note, until string
	days                                  float64 // 0: not told
}

func newAcknowledge(a *app.App) *cobra.Command {
	var opt answerOptions
	cmd := a.Command("acknowledge [PARAMETER]", []shape.Alert{}, func(args []string) error {
		return answer(a, args, opt, nil)
	})
	answerFlags(a, cmd, &opt)
	return cmd
}

func newSnooze(a *app.App) *cobra.Command {
	var opt answerOptions
	cmd := a.Command("snooze [PARAMETER]", []shape.Alert{}, func(args []string) error { return snooze(a, args, opt) })
	answerFlags(a, cmd, &opt)
	cmd.Flags().StringVar(&opt.until, "until", "",
		"`TIME` from which it may speak again; a date alone means its beginning")
	usage.Flag(cmd.Flags(), &opt.days, "for", "`LENGTH` of the silence: 3d, 2w", app.ParseDays)
	return cmd
}

func answerFlags(a *app.App, cmd *cobra.Command, opt *answerOptions) {
	cmd.Flags().StringVar(&opt.rule, "rule", "", "only the alerts of this `RULE`, as alerts --json names it")
	cmd.Flags().StringVar(&opt.subject, "subject", "", "only the alerts about this stock or chore, by `NAME`")
	cmd.Flags().StringVar(&opt.note, "note", "", "a `TEXT` to remember")
	_ = cmd.RegisterFlagCompletionFunc("rule", CompleteOpen(a, func(al alerts.Alert) string { return string(al.Rule) }))
	_ = cmd.RegisterFlagCompletionFunc("subject", CompleteOpen(a, func(al alerts.Alert) string { return al.Subject }))
}

// CompleteOpen offers what is said of the open alerts, such as their parameters.
func CompleteOpen(a *app.App, of func(alerts.Alert) string) app.Completer {
	return app.CompleteOf(a, func(v *logbook.View) ([]alerts.Alert, error) {
		tank, err1 := a.Tank(v)
		asOf, err2 := a.AsOf(tank)
		if err := cmp.Or(err1, err2); err != nil {
			return nil, err
		}
		report, err := alerts.Examine(v, tank.Name, asOf)
		return alerts.OnlyOpen(report.Alerts, report.AsOf), err
	}, of)
}

func snooze(a *app.App, args []string, opt answerOptions) error {
	if (opt.until == "") == (opt.days == 0) {
		return usage.Errorf("leadline alerts snooze phosphate --for 3d", "snooze needs --until or --for")
	}
	return answer(a, args, opt, func(t logbook.Tank, asOf time.Time) (time.Time, error) {
		if opt.until != "" {
			return a.ReadMoment(entry.Until, "--until", opt.until, t.Zone())
		}
		return asOf.Add(time.Duration(opt.days * 24 * float64(time.Hour))), nil
	})
}

// answer notes an acknowledgement of every open alert that is meant; it holds until the end that until gives, or for
// good.
func answer(a *app.App, args []string, opt answerOptions,
	until func(t logbook.Tank, asOf time.Time) (time.Time, error)) error {
	if len(args) == 0 && opt.rule == "" && opt.subject == "" {
		return usage.Errorf("leadline alerts lists the open ones",
			"name the parameter of the alert, its --rule or its --subject")
	}
	var answered []alerts.Alert
	var asOf, end time.Time
	err := a.ViewTank(func(v *logbook.View, tank logbook.Tank) (err error) {
		if len(args) > 0 {
			p, err := a.Parameter(v, args[0])
			if err != nil {
				return err
			}
			opt.parameter = p.Name
		}
		if asOf, err = a.AsOf(tank); err != nil {
			return err
		}
		if until != nil {
			if end, err = until(tank, asOf); err != nil {
				return err
			}
		}
		report, err := alerts.Examine(v, tank.Name, asOf)
		answered = slices.DeleteFunc(alerts.OnlyOpen(report.Alerts, report.AsOf), func(al alerts.Alert) bool {
			return !opt.means(al)
		})
		return err
	})
	switch {
	case err != nil:
		return err
	case len(answered) == 0:
		return usage.WithHint(errors.New("no such alert is open"), "leadline alerts lists the open ones")
	}
	said := "acknowledged"
	if !end.IsZero() {
		said = "quiet until " + words.Moment(end)
	}
	var records []logbook.Record
	who, _ := a.Who("") // a fault in the settings is no reason to leave it open
	for i, al := range answered {
		records = append(records, logbook.Acknowledgement{Time: asOf, Tank: al.Tank, Parameter: al.Parameter,
			Subject: al.Subject, Rule: string(al.Rule), Until: end, Note: opt.note, Who: who})
		answered[i].Acknowledged, answered[i].SnoozedUntil = end.IsZero(), end
	}
	if _, err := a.Opened.Append(records...); err != nil {
		return err
	}
	return a.Answer(shape.AlertsOf(answered, asOf), func() {
		for _, al := range answered {
			a.Printf("%s: %s", said, al.Headline)
		}
	})
}

// means reports whether an alert is among those that are answered; what is not said does not choose.
func (opt answerOptions) means(al alerts.Alert) bool {
	return (opt.parameter == "" || al.Parameter == opt.parameter) &&
		(opt.rule == "" || string(al.Rule) == opt.rule) &&
		(opt.subject == "" || al.Subject == opt.subject)
}
