package look

import (
	"bytes"
	"cmp"
	"errors"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/report"
	"leadline/cmd/internal/terminal"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

type chartOptions struct {
	drawn
	all bool
}

func newChart(a *app.App) *cobra.Command {
	var opt chartOptions
	cmd := a.Command("chart PARAMETER...", app.Words("leadline trend PARAMETER --json has the numbers"),
		func(args []string) error { return drawChart(a, args, opt) })
	cmd.Args = cobra.ArbitraryArgs
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
		rows := cmp.Or(opt.height, 14)
		return strings.Join(words.Of(charts, func(c picture.Chart) string {
			return report.TextChart(c, cmp.Or(opt.width, a.Columns()), rows, opt.private)
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
		named, err := a.ParametersNamed(v, parameters)
		if err != nil {
			return err
		}
		for _, p := range named {
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

// patience is how long a terminal may take to say that it shows pictures.
const patience = 300 * time.Millisecond

// drawn says where and how charts are drawn: in characters, as a picture in a file, or as one in the terminal.
type drawn struct {
	output, since              string
	dark, private, force, here bool
	width, height              int
}

func (d *drawn) flags(f *pflag.FlagSet, since string) {
	f.StringVarP(&d.output, "output", "o", "", "`FILE` to draw, .png or .svg (else characters on standard output)")
	f.StringVar(&d.since, "since", "", "only what is from this `TIME` on (else "+since+")")
	f.BoolVar(&d.here, "picture", false, "the picture here, in a terminal that shows pictures (sixel, kitty)")
	f.BoolVar(&d.dark, "dark", false, "picture: light on dark")
	f.BoolVar(&d.private, "private", false, "leave out the tank's name and the text of events")
	f.BoolVar(&d.force, "force", false, "replace the file if it is there")
	f.IntVar(&d.width, "width", 0, "`COLUMNS` to fill (else as wide as the terminal, or 80); of a picture, pixels")
	f.IntVar(&d.height, "height", 0, "`ROWS` to fill; of a picture, pixels (else as many as it needs)")
}

func (d *drawn) check(a *app.App) error {
	switch kind := strings.ToLower(filepath.Ext(d.output)); {
	case d.output != "" && kind != ".png" && kind != ".svg":
		return usage.Errorf("-o chart.png or -o chart.svg", "-o %s: a picture is .png or .svg", d.output)
	case d.output != "" && d.here:
		return usage.Errorf("leave one of them out", "-o and --picture: which?")
	case d.dark && d.output == "" && !d.here:
		return usage.Errorf("-o chart.png makes a picture", "--dark is for a picture")
	case d.width < 0 || d.width > mostPixels:
		return usage.Errorf("--width 100", "--width %d: not a width", d.width)
	case d.height < 0 || d.height > mostPixels:
		return usage.Errorf("--height 20", "--height %d: not a height", d.height)
	case d.here && !a.HasTerminal():
		return usage.Errorf("-o chart.png makes a file", "--picture is for a terminal")
	}
	return nil
}

// mostPixels is a side of the largest picture; larger ones need more memory than a small machine has.
const mostPixels = 10000

// draw draws the charts of one or more tanks, in characters as text says.
func (d *drawn) draw(a *app.App, summed bool, tanks [][]picture.Chart, text func() string) error {
	opt := report.PictureOptions{SVG: strings.EqualFold(filepath.Ext(d.output), ".svg"), Dark: d.dark, Private: d.private,
		Summed: summed, Width: float64(d.width), Height: float64(d.height)}
	switch {
	case d.here:
		return show(a, opt, tanks)
	case d.output != "":
		return a.WriteFile(d.output, d.force, func(w io.Writer) error { return report.Picture(w, opt, tanks...) })
	}
	_, err := io.WriteString(a.Out, text())
	return err
}

// show draws in a terminal that shows pictures.
func show(a *app.App, opt report.PictureOptions, tanks [][]picture.Chart) error {
	var made bytes.Buffer
	if err := report.Picture(&made, opt, tanks...); err != nil {
		return err
	}
	protocol := terminal.NoPictures
	if tty, err := os.OpenFile("/dev/tty", os.O_RDWR, 0); err == nil && a.Env("TERM") != "dumb" {
		protocol = terminal.AskPictures(tty, patience)
		_ = tty.Close()
	}
	m, err := png.Decode(&made)
	switch {
	case err != nil:
		return err
	case protocol == terminal.Kitty:
		return terminal.WriteKitty(a.Out, m)
	case protocol == terminal.Sixel:
		return terminal.WriteSixel(a.Out, m)
	}
	return usage.WithHint(errors.New("this terminal does not say that it shows pictures, by sixel or as kitty does"),
		"without --picture the chart is drawn in characters; -o chart.png makes a file")
}

type yearOptions struct {
	drawn
	beside string
}

func newYear(a *app.App) *cobra.Command {
	var opt yearOptions
	cmd := a.Command("year [PARAMETER...]", app.Words("leadline readings PARAMETER --json has the numbers"),
		func(args []string) error { return drawYear(a, args, opt) })
	cmd.Args = cobra.ArbitraryArgs
	opt.flags(cmd.Flags(), "a year")
	cmd.Flags().StringVar(&opt.beside, "beside", "", "`TANK` to show beside the first")
	return cmd
}

func drawYear(a *app.App, parameters []string, opt yearOptions) error {
	if err := opt.check(a); err != nil {
		return err
	}
	var tanks [][]picture.Chart
	err := a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
		asOf, since, err1 := a.WindowOf(tank, opt.since, picture.YearDays)
		named, err2 := a.ParametersNamed(v, parameters)
		set, err3 := a.Settings()
		err := cmp.Or(err1, err2, err3)
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
