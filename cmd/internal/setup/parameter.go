package setup

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func newParameter(a *app.App) *cobra.Command {
	return usage.Group("parameter", "what is measured; add parameters of your own", newParameterAdd(a),
		a.PrintsRecords(usage.Command("list", "the parameters, their codes and units", "", func([]string) error {
			return listParameters(a)
		})))
}

func newParameterAdd(a *app.App) *cobra.Command {
	var p logbook.Parameter
	cmd := a.PrintsRecords(usage.Command("add NAME",
		"add a parameter of your own", `  # an element of a laboratory analysis
  leadline parameter add molybdenum --code mo --unit ug/L --digits 1

  # one whose values lie between 0 and 500
  leadline parameter add redox --unit mV --digits 0 --min 0 --max 500`, func(args []string) error {
			p.Name = strings.TrimSpace(args[0])
			return addParameter(a, p)
		}))
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

func listParameters(a *app.App) error {
	all, err := a.Parameters()
	if err != nil {
		return err
	}
	return printParameters(a, all)
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
