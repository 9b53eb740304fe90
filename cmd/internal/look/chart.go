package look

import (
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts/picture"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/report"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

type chartOptions struct {
	output, since             string
	all, dark, private, force bool
	width                     int
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

  # all that is measured, since the year began, on a dark ground
  leadline chart --all --since 2026-01-01 --dark -o forereef.png`,
		Args: cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error { return drawChart(a, args, opt) },
	})
	f := cmd.Flags()
	f.StringVarP(&opt.output, "output", "o", "", "`FILE` to draw, .png or .svg (else characters on standard output)")
	f.StringVar(&opt.since, "since", "", "only what is from this `TIME` on (else 16 weeks)")
	f.BoolVar(&opt.all, "all", false, "every parameter that is measured")
	f.BoolVar(&opt.dark, "dark", false, "picture: light on dark")
	f.BoolVar(&opt.private, "private", false, "leave out the tank's name and the text of events")
	f.BoolVar(&opt.force, "force", false, "replace the file if it is there")
	f.IntVar(&opt.width, "width", 0, "terminal: `COLUMNS` to fill (else as wide as the terminal, or 80)")
	return cmd
}

func drawChart(a *app.App, parameters []string, opt chartOptions) error {
	switch kind := strings.ToLower(filepath.Ext(opt.output)); {
	case len(parameters) == 0 && !opt.all:
		return usage.Errorf("leadline chart phosphate; or --all", "which parameter?")
	case len(parameters) > 0 && opt.all:
		return usage.Errorf("leave one of them out", "--all and %s: which?", strings.Join(parameters, " "))
	case opt.output != "" && kind != ".png" && kind != ".svg":
		return usage.Errorf("-o chart.png or -o chart.svg", "-o %s: a picture is .png or .svg", opt.output)
	case opt.dark && opt.output == "":
		return usage.Errorf("-o chart.png makes a picture", "--dark is for a picture")
	case opt.width < 0:
		return usage.Errorf("--width 100", "--width %d: not a width", opt.width)
	}
	charts, err := chartsOf(a, parameters, opt)
	if err != nil {
		return err
	}
	if opt.output == "" {
		return printCharts(a, charts, opt)
	}
	return a.WriteFile(opt.output, opt.force, func(w io.Writer) error {
		return report.Picture(w, charts, report.PictureOptions{
			SVG: strings.EqualFold(filepath.Ext(opt.output), ".svg"), Dark: opt.dark, Private: opt.private})
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
				return usage.Errorf("leadline add nitrate=4.2 notes one", "nothing is measured in %s yet", tank.Name)
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

func printCharts(a *app.App, charts []picture.Chart, opt chartOptions) error {
	const rows = 14
	width := opt.width
	if width == 0 {
		width = a.Columns()
	}
	for i, c := range charts {
		if i > 0 {
			a.Printf("")
		}
		if _, err := io.WriteString(a.Out, report.TextChart(c, width, rows, opt.private)); err != nil {
			return err
		}
	}
	return nil
}
