package look

import (
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func newReadings(a *app.App) *cobra.Command {
	var since, who string
	cmd := a.Prints([]shape.Reading{}, usage.Command("readings PARAMETER",
		"list the readings of a parameter with their ids", `  # every nitrate reading of the only tank
  leadline readings nitrate

  # this year's, for a script
  leadline readings no3 --tank forereef --since 2026-01-01 --json`, func(args []string) error { return readings(a, args[0], since, who) }))
	cmd.Flags().StringVar(&since, "since", "", "only those from this `TIME` on")
	cmd.Flags().StringVar(&who, "who", "", "only those noted by this `NAME`")
	return cmd
}

func readings(a *app.App, parameter, sinceFlag, who string) error {
	var readings []logbook.Reading
	err := a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
		p, err := a.Parameter(v, parameter)
		if err != nil {
			return err
		}
		since, err := a.Since(sinceFlag, tank.Zone())
		if err != nil {
			return err
		}
		until := time.Time{}
		if a.AsOfFlag != "" {
			if until, err = a.AsOf(tank); err != nil {
				return err
			}
		}
		readings, err = v.Readings(tank.Name, p.Name, since, until)
		if who != "" {
			readings = slices.DeleteFunc(readings, func(r logbook.Reading) bool { return !strings.EqualFold(r.Who, who) })
		}
		return err
	})
	if err != nil {
		return err
	}
	return a.PrintReadings(readings)
}
