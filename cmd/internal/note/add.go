package note

import (
	"github.com/spf13/cobra"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/logbook"
)

type addOptions struct {
	unit, at, method, note string
	yes                    bool
}

func newAdd(a *app.App) *cobra.Command {
	var opt addOptions
	cmd := a.Prints([]shape.Reading{}, &cobra.Command{
		Use:   "add PARAMETER=VALUE...",
		Short: "note down readings; they are on disk when it returns",
		Long: `Note down readings of one test day. Parameters go by name or code, values may be "<0.02" or ">50",
and a unit may follow the number. Several results of one test, as in calcium='420 430', are kept as their mean. Either all of
them are kept or none is.

A bare number is in the unit that --unit names, else in that of the method, else in that of your settings (leadline config),
else in that of nearly all of the last readings, else in the parameter's own; where it is not the parameter's own, the answer
says why.

A time is typed as it is said: 09:30, yesterday, 'mon 18:00', '2 hours ago', '26 Oct', 7.9.2026 (with dots the day comes first)
or 2026-03-07T09:10; one that is later than now is refused.

An unlikely value is kept, with a warning that names the likely slip; an impossible one is refused.`,
		Example: `  # two readings now
  leadline add nitrate=4.2 po4='<0.02'

  # in another unit, by a described method, for yesterday
  leadline add po4='33 ppb P' --method photometer-p --at 2026-03-07T09:10`,
		RunE: func(_ *cobra.Command, args []string) error { return add(a, args, opt) },
	})
	f := cmd.Flags()
	f.StringVar(&opt.unit, "unit", "", "`UNIT` of the values that have none behind them (else that of the method, your settings, the last readings)")
	f.StringVar(&opt.at, "at", "", "`TIME` of the test (else now); a date alone means noon in the tank's zone")
	f.StringVar(&opt.method, "method", "", "`NAME` of the kit or instrument")
	f.StringVar(&opt.note, "note", "", "a `TEXT` to remember")
	f.BoolVarP(&opt.yes, "yes", "y", false, "the values are meant: no warning about unlikely ones, no note on a unit")
	return cmd
}

func add(a *app.App, args []string, opt addOptions) error {
	assignments, err := app.ParseAssignments(args)
	if err != nil {
		return err
	}
	var readings []logbook.Reading
	var warnings []string
	err = a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
		when, err := a.At(opt.at, tank, false)
		if err != nil {
			return err
		}
		tested := make([]logbook.Parameter, len(assignments))
		for i, as := range assignments {
			if tested[i], err = a.Parameter(v, as.Parameter); err != nil {
				return err
			}
		}
		c, err := entry.Load(v, tank, when, tested...)
		if err != nil {
			return err
		}
		for i, as := range assignments {
			r, about, err := a.NewReading(c, tested[i], as.Text, app.TypedBy{Unit: opt.unit, Method: opt.method, Note: opt.note}, when)
			if err != nil {
				return err
			}
			readings, warnings = append(readings, r), append(warnings, about...)
		}
		return nil
	})
	if err != nil {
		return err
	}
	ids, err := a.Opened.Append(words.Of(readings, func(r logbook.Reading) logbook.Record { return r })...)
	if err != nil {
		return err
	}
	for i := range readings {
		readings[i].ID = ids[i]
	}
	if !opt.yes {
		for _, w := range warnings {
			a.Say("%s", w)
		}
	}
	return a.PrintReadings(readings)
}
