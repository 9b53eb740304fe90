package setup

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// errOtherUnit is of a band whose numbers would be usual in another unit.
var errOtherUnit = errors.New("the numbers would be usual in another unit")

type bandOptions struct {
	low, high, floor, unit, every string
	yes                           bool
}

func newBand(a *app.App) *cobra.Command {
	var opt bandOptions
	cmd := a.Prints(shape.Records{}, usage.Group("band", newBandSet(a),
		a.Command("list", shape.Records{}, func([]string) error {
			return app.Show(a, a.Tanks, func(a *app.App, tanks []logbook.Tank) error { return printBands(a, tanks, "") })
		}),
		a.Command("clear PARAMETER", shape.Records{}, func(args []string) error { return clearBand(a, args[0]) }),
		app.NewHistory(a, "history [TANK] PARAMETER",
			func(v *logbook.View, t logbook.Tank, args []string) ([]logbook.Record, string, error) {
				p, err := a.Parameter(v, args[len(args)-1])
				return []logbook.Record{t}, "bands." + p.Name, err
			})))
	cmd.Use = "band PARAMETER"
	bandFlags(cmd, &opt)
	groupRun := cmd.RunE
	cmd.Annotations = nil // it sets a band itself
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return usage.Errorf("leadline band nitrate --low 3 --high 12, or one of: "+strings.Join(usage.SubNames(cmd), ", "),
				"%s needs a parameter or a command", cmd.CommandPath())
		}
		_, known := logbook.FindParameter(logbook.Standard(), args[0])
		if len(args) == 1 && (known || opt != (bandOptions{})) {
			return setBand(a, args[0], opt)
		}
		return groupRun(cmd, args)
	}
	return cmd
}

func newBandSet(a *app.App) *cobra.Command {
	var opt bandOptions
	cmd := a.Command("set PARAMETER", shape.Records{}, func(args []string) error { return setBand(a, args[0], opt) })
	bandFlags(cmd, &opt)
	return cmd
}

func bandFlags(cmd *cobra.Command, opt *bandOptions) {
	f := cmd.Flags()
	f.StringVar(&opt.low, "low", "", "lower `EDGE`")
	f.StringVar(&opt.high, "high", "", "upper `EDGE`")
	f.StringVar(&opt.floor, "floor", "", "`LEVEL` below which it counts as bottomed out")
	f.StringVar(&opt.unit, "unit", "", "`UNIT` of the three (else the one it is shown in)")
	f.StringVar(&opt.every, "every", "", "`TIME` between tests: 7d, 2w")
	f.BoolVarP(&opt.yes, "yes", "y", false, "the unit is meant: nothing is asked")
}

func setBand(a *app.App, parameter string, opt bandOptions) error {
	if opt == (bandOptions{}) {
		return usage.Errorf("leadline band set nitrate --low 3 --high 12 --floor 2; leadline band list shows what is set",
			"nothing to set was given")
	}
	var warnings []string
	var instead string
	tank, name, err := changeBand(a, parameter, func(t *logbook.Tank, p logbook.Parameter) (err error) {
		b := t.Bands[p.Name]
		if err := opt.apply(&b, p); err != nil {
			return err
		}
		t.Bands[p.Name] = b
		if warnings, instead, err = logbook.CheckBand(p, b); err == nil && instead != "" && !opt.yes {
			err = errOtherUnit
		}
		return err
	})
	if err == nil && opt.yes {
		warnings = nil
	}
	a.SayEach("warning: "+name+": %s", warnings)
	if errors.Is(err, errOtherUnit) { // it is asked about outside of the change, which keeps others from the book
		err = a.MustAgree("keep it?", fmt.Sprintf("--unit %q, or --yes where it is meant", instead))
		if opt.yes = true; err == nil {
			return setBand(a, parameter, opt)
		}
	}
	if err != nil {
		return err
	}
	return printBands(a, []logbook.Tank{tank}, name)
}

// changeBand changes the bands of the tank that is meant, of which one is that of a parameter.
func changeBand(a *app.App, parameter string, change func(*logbook.Tank, logbook.Parameter) error) (t logbook.Tank,
	name string, err error) {
	t, err = changeTank(a, nil, func(t *logbook.Tank, v *logbook.View) error {
		p, err := a.Parameter(v, parameter)
		if err != nil {
			return err
		}
		if t.Bands = maps.Clone(t.Bands); t.Bands == nil {
			t.Bands = map[string]logbook.Band{}
		}
		name = p.Name
		return change(t, p)
	})
	return t, name, err
}

func (opt bandOptions) apply(b *logbook.Band, p logbook.Parameter) error {
	if err := opt.applyUnit(b, p); err != nil {
		return err
	}
	for _, f := range []struct {
		flag, text string
		to         **float64
	}{{"--low", opt.low, &b.Low}, {"--high", opt.high, &b.High}, {"--floor", opt.floor, &b.Floor}} {
		switch f.text {
		case "":
		case "none":
			*f.to = nil
		default:
			n, err := entry.Number(f.text)
			if err != nil {
				return app.NotANumber(err, f.flag, f.text, f.flag+" 3")
			}
			*f.to = &n
		}
	}
	switch opt.every {
	case "":
	case "none":
		b.EveryDays = nil
	default:
		days, err := app.ParseDays("--every", opt.every)
		if err != nil {
			return err
		}
		b.EveryDays = &days
	}
	return nil
}

// applyUnit changes the unit only together with every number that is in it.
func (opt bandOptions) applyUnit(b *logbook.Band, p logbook.Parameter) error {
	number := slices.ContainsFunc([]string{opt.low, opt.high, opt.floor}, func(text string) bool {
		return text != "" && text != "none"
	})
	if opt.unit == "" && !number {
		return nil
	}
	u, err := p.TypedUnit(opt.unit)
	if err != nil {
		return usage.Mistyped(err)
	}
	old, err := p.FindUnit(b.Unit)
	if err != nil {
		return err
	}
	left := (b.Low != nil && opt.low == "") || (b.High != nil && opt.high == "") || (b.Floor != nil && opt.floor == "")
	if u != old && left {
		return usage.Errorf(fmt.Sprintf("pass --unit %q, or give --low, --high and --floor again in %s", old.Name(),
			u.Name()), "the band of %s is in %s: its numbers would be left in another unit", p.Name, old.Name())
	}
	b.Unit = u.Name()
	return nil
}

func clearBand(a *app.App, parameter string) error {
	tank, name, err := changeBand(a, parameter, func(t *logbook.Tank, p logbook.Parameter) error {
		if _, ok := t.Bands[p.Name]; !ok {
			return fmt.Errorf("tank %s has no band for %s", t.Name, p.Name)
		}
		delete(t.Bands, p.Name)
		return nil
	})
	if err != nil {
		return err
	}
	if a.JSON {
		return app.PrintRecords(a, []logbook.Tank{tank}, nil)
	}
	a.Printf("%s has no band for %s any more", words.OneLine(tank.Name), name)
	return nil
}

// printBands prints the bands of tanks; only one parameter's, if it is given.
func printBands(a *app.App, tanks []logbook.Tank, parameter string) error {
	if a.JSON {
		return app.PrintRecords(a, tanks, nil)
	}
	parameters, err := a.Parameters()
	if err != nil {
		return err
	}
	var c words.Table
	for _, t := range tanks {
		for _, name := range slices.Sorted(maps.Keys(t.Bands)) {
			if parameter == "" || name == parameter {
				c.Add(t.Name, name, words.Band(parameters, name, t.Bands[name]))
			}
		}
	}
	a.Table(c, "")
	return nil
}
