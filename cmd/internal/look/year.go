package look

import (
	"cmp"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts/picture"
	"leadline/alerts/words"
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
	cmd := a.PrintsWords("leadline readings PARAMETER --json has the numbers", usage.Command("year [PARAMETER...]",
		"a tank's year on one page: every parameter, and what was done; or two tanks beside each other",
		`  # in the terminal: all that is measured
  leadline year

  # two tanks beside each other, the same parameter on the same axis, as a picture
  leadline year nitrate phosphate --tank forereef --beside lagoon -o both.png`, func(args []string) error {
			return drawYear(a, args, opt)
		}))
	cmd.Args = cobra.ArbitraryArgs
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
	if a.Plain() && opt.output == "" && !opt.here {
		sayYear(a, tanks, opt.private)
		return nil
	}
	return opt.draw(a, true, tanks, func() string {
		return report.TextYear(tanks, cmp.Or(opt.width, a.Columns()), opt.height, opt.private)
	})
}

// sayYear says in sentences what is drawn else.
func sayYear(a *app.App, tanks [][]picture.Chart, private bool) {
	for _, charts := range tanks {
		name := words.OneLine(charts[0].Finding.Tank.Name)
		if private {
			name = "a tank"
		}
		a.Sentence("%s, from %s to %s:", name, words.Day(charts[0].From), words.Day(charts[0].To))
		for _, c := range charts {
			a.Sentence("%s: %s", words.OneLine(c.Finding.Parameter.Name), c.Sum().Text(c.Finding.Parameter))
		}
	}
	for _, line := range picture.YearList(tanks, private) {
		a.Sentence("%s", strings.TrimSpace(line))
	}
}
