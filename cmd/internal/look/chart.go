package look

import (
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/report"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

type chartOptions struct {
	drawn
	all bool
}

func newChart(a *app.App) *cobra.Command {
	var opt chartOptions
	cmd := a.PrintsWords("leadline trend PARAMETER --json has the numbers", &cobra.Command{
		Use:   "chart PARAMETER...",
		Short: "draw readings, band and forecast: here, or as a picture",
		Example: `  # in the terminal
  leadline chart phosphate

  # as a picture of two panels; .svg draws it in lines
  leadline chart phosphate nitrate -o forereef.png

  # all that is measured, since the year began, on a dark ground, in a size of your own
  leadline chart --all --since 2026-01-01 --dark --width 1600 --height 1200 -o forereef.png`,
		Args: cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error { return drawChart(a, args, opt) },
	})
	opt.flags(cmd.Flags(), "16 weeks")
	cmd.Flags().BoolVar(&opt.all, "all", false, "every parameter that is measured")
	return cmd
}

func drawChart(a *app.App, parameters []string, opt chartOptions) error {
	switch {
	case len(parameters) == 0 && !opt.all:
		return usage.Errorf("leadline chart phosphate; or --all", "which parameter?")
	case len(parameters) > 0 && opt.all:
		return usage.Errorf("leave one of them out", "--all and %s: which?", strings.Join(parameters, " "))
	}
	if err := opt.check(a); err != nil {
		return err
	}
	charts, err := chartsOf(a, parameters, opt)
	if err != nil {
		return err
	}
	return opt.draw(a, false, [][]picture.Chart{charts}, func() string {
		rows := 14
		if opt.height > 0 {
			rows = opt.height
		}
		return strings.Join(words.Of(charts, func(c picture.Chart) string {
			return report.TextChart(c, opt.columns(a), rows, opt.private)
		}), "\n")
	})
}

func chartsOf(a *app.App, parameters []string, opt chartOptions) (charts []picture.Chart, err error) {
	err = a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
		asOf, since, err := a.WindowOf(tank, opt.since, app.ChartDays)
		if err != nil {
			return err
		}
		if opt.all {
			if parameters, err = v.Measured(tank.Name); err != nil {
				return err
			}
			if len(parameters) == 0 {
				return nothingMeasured(tank)
			}
		}
		for _, name := range parameters {
			p, err := a.Parameter(v, name)
			if err != nil {
				return err
			}
			c, err := picture.Of(v, tank, p, since, asOf)
			if err != nil {
				return err
			}
			charts = append(charts, c)
		}
		return nil
	})
	return charts, err
}

func nothingMeasured(t logbook.Tank) error {
	return usage.Errorf("leadline add nitrate=4.2 notes one", "nothing is measured in %s yet", t.Name)
}
