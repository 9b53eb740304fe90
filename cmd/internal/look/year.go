package look

import (
	"github.com/spf13/cobra"

	"leadline/alerts/picture"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/report"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

type yearOptions struct {
	drawn
	beside string
}

func newYear(a *app.App) *cobra.Command {
	var opt yearOptions
	cmd := a.PrintsWords("leadline readings PARAMETER --json has the numbers", &cobra.Command{
		Use:   "year [PARAMETER...]",
		Short: "a tank's year on one page: every parameter, and what was done; or two tanks beside each other",
		Example: `  # in the terminal: all that is measured
  leadline year

  # two tanks beside each other, the same parameter on the same axis, as a picture
  leadline year nitrate phosphate --tank forereef --beside lagoon -o both.png`,
		Args: cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error { return drawYear(a, args, opt) },
	})
	opt.flags(cmd.Flags(), "a year")
	cmd.Flags().StringVar(&opt.beside, "beside", "", "`TANK` to show beside the first")
	_ = cmd.RegisterFlagCompletionFunc("beside", a.CompleteTanks)
	return cmd
}

func drawYear(a *app.App, parameters []string, opt yearOptions) error {
	if err := opt.check(a); err != nil {
		return err
	}
	var tanks [][]picture.Chart
	err := a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
		asOf, since, err := a.WindowOf(tank, opt.since, picture.YearDays)
		if err != nil {
			return err
		}
		of := []logbook.Tank{tank}
		if opt.beside != "" {
			other, err := a.TankNamed(v, opt.beside)
			if err != nil {
				return err
			}
			if other.Name == tank.Name {
				return usage.Errorf("--beside takes another tank", "--beside %s: that is the tank itself", opt.beside)
			}
			of = append(of, other)
		}
		var named []logbook.Parameter
		for _, name := range parameters {
			p, err := a.Parameter(v, name)
			if err != nil {
				return err
			}
			named = append(named, p)
		}
		set, err := a.Settings()
		if err != nil {
			return err
		}
		if tanks, err = picture.Course(v, of, named, set.Order, since, asOf); err == nil && len(tanks[0]) == 0 {
			err = nothingMeasured(tank)
		}
		return err
	})
	if err != nil {
		return err
	}
	return opt.draw(a, true, tanks, func() string { return report.TextYear(tanks, opt.columns(a), opt.height, opt.private) })
}
