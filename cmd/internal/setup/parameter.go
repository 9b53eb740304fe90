package setup

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func newParameter(a *app.App) *cobra.Command {
	return usage.Group("parameter", newParameterAdd(a),
		a.Command("list", shape.Records{}, func([]string) error {
			all, err := a.Parameters()
			if err != nil {
				return err
			}
			return printParameters(a, all)
		}))
}

func newParameterAdd(a *app.App) *cobra.Command {
	var p logbook.Parameter
	cmd := a.Command("add NAME", shape.Records{}, func(args []string) error {
		p.Name = strings.TrimSpace(args[0])
		return addParameter(a, p)
	})
	f := cmd.Flags()
	f.StringVar(&p.Code, "code", "", "short `CODE`")
	f.StringVar(&p.Unit, "unit", "", "`UNIT` it is kept in")
	f.IntVar(&p.Digits, "digits", 2, "`NUMBER` of decimals that are shown")
	f.Float64Var(&p.Min, "min", 0, "`VALUE` below which a reading is impossible")
	f.Float64Var(&p.Max, "max", 1e9, "`VALUE` above which a reading is impossible")
	usage.Flag(f, &p.EveryDays, "every", "usual `TIME` between tests: 7d, 2w", app.ParseDays)
	f.BoolVar(&p.Nutrient, "nutrient", false, "it is used up by what lives in the tank")
	return cmd
}

func addParameter(a *app.App, p logbook.Parameter) error {
	if p.Unit == "" {
		return usage.Errorf("leadline parameter add molybdenum --unit ug/L", "which unit is it kept in? --unit is missing")
	}
	// Nothing is known of its kits: the last shown digit, and a tenth of the reading (chosen here).
	p.Generic = logbook.Method{Name: "generic", Parameter: p.Name, Unit: p.Unit, Step: math.Pow10(-p.Digits), SDRel: 0.10}
	book, err := a.BookOrNew()
	if err != nil {
		return err
	}
	_, err = book.Update(func(v *logbook.View) ([]logbook.Record, error) {
		for _, word := range []string{p.Name, p.Code} {
			if word == "" {
				continue
			}
			there, err := v.Parameter(word)
			switch {
			case err == nil:
				return nil, fmt.Errorf("%q is there already: %s (%s) in %s", word, there.Name, there.Code, there.Unit)
			case !errors.Is(err, logbook.ErrNotFound):
				return nil, err
			}
		}
		return []logbook.Record{p}, nil
	})
	if err != nil {
		return err
	}
	return printParameters(a, []logbook.Parameter{p})
}

func printParameters(a *app.App, ps []logbook.Parameter) error {
	return app.PrintRecords(a, ps, func(p logbook.Parameter) []string {
		every := ""
		if p.EveryDays > 0 {
			every = "commonly " + words.Every(p.EveryDays)
		}
		return []string{p.Name, p.Code, p.Unit, every}
	})
}

func newMethod(a *app.App) *cobra.Command {
	return usage.Group("method", newMethodAdd(a),
		a.Command("list", shape.Records{}, func([]string) error {
			return app.Show(a, (*logbook.View).Methods, printMethods)
		}),
		a.Command("show NAME", shape.Records{}, func(args []string) error {
			return app.Show(a, func(v *logbook.View) ([]logbook.Method, error) { return methodsNamed(v, args[0]) }, printMethods)
		}),
		a.Command("check NAME", []repeatJSON{}, func(args []string) error { return checkMethod(a, args[0]) }),
		app.NewHistory(a, "history NAME",
			func(v *logbook.View, _ logbook.Tank, args []string) (defs []logbook.Record, _ string, err error) {
				methods, err := methodsNamed(v, args[0])
				for _, m := range methods {
					defs = append(defs, m)
				}
				return defs, "", err
			}))
}

func newMethodAdd(a *app.App) *cobra.Command {
	var m logbook.Method
	var unit string
	cmd := a.Command("add NAME", shape.Records{}, func(args []string) error {
		m.Name = args[0]
		return addMethod(a, m, unit)
	})
	f := cmd.Flags()
	f.StringVar(&m.Parameter, "parameter", "", "the `PARAMETER` it measures")
	f.StringVar(&unit, "unit", "", "`UNIT` it shows, and of the numbers here (else the one it is shown in)")
	usage.Flag(f, &m.Step, "step", "smallest `STEP` it can show", app.ParseNumber)
	f.Float64SliceVar(&m.Marks, "marks", nil, "or the `MARKS` of its scale, rising")
	usage.Flag(f, &m.SD, "sd", "standard deviation `SD` of repeated tests of the same water", app.ParseNumber)
	usage.Flag(f, &m.SDRel, "sd-rel", "further standard deviation as a `FRACTION` of the reading", app.ParseNumber)
	usage.Flag(f, &m.SDSteps, "sd-steps", "standard deviation in `STEPS` between neighbouring marks", app.ParseNumber)
	usage.Flag(f, &m.Limit, "limit", "detection `LIMIT`", app.ParseNumber)
	return cmd
}

func addMethod(a *app.App, m logbook.Method, unit string) error {
	if m.Parameter == "" {
		return usage.Errorf("leadline method add "+m.Name+" --parameter nitrate --step 0.5",
			"which parameter does it measure? --parameter is missing")
	}
	all, err1 := a.Parameters()
	p, err2 := app.FindAmong(all, m.Parameter)
	err := cmp.Or(err1, err2)
	if err != nil {
		return err
	}
	if m, err = entry.Method(m, p, unit); err != nil {
		if _, hint := usage.InWords(err); hint == "" {
			err = usage.WithHint(err, "--step 0.5, or --marks 0,1,2,5,10")
		}
		return usage.Mistyped(err)
	}
	book, err := a.BookOrNew()
	if err != nil {
		return err
	}
	if _, err := book.Append(m); err != nil {
		return err
	}
	return printMethods(a, []logbook.Method{m})
}

// checkMethod says what the duplicate tests tell of every method of a name.
func checkMethod(a *app.App, name string) error {
	return a.View(func(v *logbook.View) error {
		methods, err := methodsNamed(v, name)
		if err != nil {
			return err
		}
		var checked []repeatJSON
		var says []string
		for _, m := range methods {
			r, err := alerts.RepeatabilityOf(v, m)
			if err != nil {
				return err
			}
			e := r.Estimate
			checked = append(checked, repeatJSON{m.Name, m.Parameter, m.Unit, e.Pairs, shape.Number(e.SD),
				shape.Number(e.Interval.Lo), shape.Number(e.Interval.Hi), shape.Number(e.Smallest), shape.Number(m.SD)})
			says = append(says, words.OneLine(r.Text()))
		}
		return a.Answer(checked, func() { a.Each("%s", says) })
	})
}

// methodsNamed are the methods of a name, of each parameter that it measures; at least one.
func methodsNamed(v *logbook.View, name string) ([]logbook.Method, error) {
	all, err := v.Methods()
	named := slices.DeleteFunc(slices.Clone(all), func(m logbook.Method) bool { return m.Name != name })
	if err != nil || len(named) > 0 {
		return named, err
	}
	hint := "leadline method add " + words.OneLine(name) + " … describes it"
	if len(all) > 0 {
		hint = "leadline method list shows them"
	}
	known := words.Of(all, func(m logbook.Method) string { return m.Name })
	return nil, usage.Errorf(logbook.DidYouMean(name, known, hint), "no method %q is described", name)
}

func printMethods(a *app.App, ms []logbook.Method) error {
	return app.PrintRecords(a, ms, func(m logbook.Method) []string {
		return []string{m.Name, m.Parameter, words.Method(m)}
	})
}

// repeatJSON is what duplicate tests say of a method, in its unit.
type repeatJSON struct {
	Method    string       `json:"method"`
	Parameter string       `json:"parameter"`
	Unit      string       `json:"unit"`
	Pairs     int          `json:"pairs"`
	SD        shape.Number `json:"sd"`
	Lo        shape.Number `json:"sd_lo"` // 95 % interval
	Hi        shape.Number `json:"sd_hi"`
	Smallest  shape.Number `json:"smallest_difference"` // that two single tests can show, at 95 %
	Described shape.Number `json:"sd_described"`
}
