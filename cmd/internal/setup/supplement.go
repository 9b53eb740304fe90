package setup

import (
	"encoding/json"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

func newSupplement(a *app.App) *cobra.Command {
	return usage.Group("supplement", newSupplementAdd(a),
		app.NewHistory(a, "history NAME",
			func(v *logbook.View, _ logbook.Tank, args []string) ([]logbook.Record, string, error) {
				s, err := v.Supplement(args[0])
				return []logbook.Record{s}, "", err
			}),
		a.Command("list", shape.Records{}, func([]string) error {
			return a.View(func(v *logbook.View) error {
				all, parameters, err := described(v)
				if err != nil {
					return err
				}
				return app.PrintRecords(a, all, func(s logbook.Supplement) []string {
					return []string{s.Name, words.Made(s), words.Raises(s, parameters)}
				})
			})
		}),
		a.Command("show NAME", supplementJSON{}, func(args []string) error { return showSupplement(a, args[0]) }),
		a.Command("salts", []saltJSON{}, func([]string) error {
			var list []saltJSON
			var table words.Table
			for _, s := range water.Salts() {
				list = append(list, saltJSON{s.Formula, s.Name, s.Note})
				table.Add(s.Formula, s.Name, s.Note)
			}
			return a.PrintList(list, table)
		}))
}

func newSupplementAdd(a *app.App) *cobra.Command {
	var s logbook.Supplement
	var raises []string
	cmd := a.Command("add NAME", supplementJSON{}, func(args []string) error {
		s.Name = args[0]
		return addSupplement(a, s, raises)
	})
	f := cmd.Flags()
	f.StringVar(&s.Salt, "salt", "",
		"recipe: the `SALT` by formula or name, such as Na2CO3 or \"calcium chloride dihydrate\"")
	f.Float64Var(&s.GramsPerL, "grams-per-litre", 0, "recipe: `GRAMS` of it made up to one litre")
	f.Float64Var(&s.Purity, "purity", 0, "recipe: `FRACTION` of the salt that is what its formula says (else 1)")
	f.Float64Var(&s.LabelML, "ml", 0, "label: so many `MILLILITRES` ...")
	f.Float64Var(&s.LabelL, "litres", 0, "label: ... in so many `LITRES` of water ...")
	f.StringArrayVar(&raises, "raises", nil, "label: ... raise `PARAMETER=RISE`; may be given again")
	f.BoolVar(&s.Limewater, "limewater", false, "saturated limewater")
	return cmd
}

func addSupplement(a *app.App, s logbook.Supplement, raises []string) error {
	rises, err := app.ParseAssignments(raises)
	if err != nil {
		return err
	}
	book, err := a.BookOrNew()
	if err != nil {
		return err
	}
	all, err := logbook.Seen(book, (*logbook.View).Parameters)
	if err != nil {
		return err
	}
	for _, as := range rises {
		p, err := app.FindAmong(all, as.Parameter)
		if err != nil {
			return err
		}
		if err := app.Readable(p, as, ""); err != nil {
			return err
		}
		am, err := entry.Amount(p, as.Text, "")
		if err != nil {
			return err
		}
		s.Label = append(s.Label, logbook.LabelRise{Parameter: p.Name, Rise: am.Value, Unit: am.Unit})
	}
	doubt, err := entry.Context{Parameters: all}.Describe(s)
	if err != nil {
		return usage.Wrong(err, "--salt Na2CO3 --grams-per-litre 60, or --ml 10 --litres 100 --raises alkalinity=1, or "+
			"--limewater")
	}
	if _, err := book.Append(s); err != nil {
		return err
	}
	a.Warn(doubt)
	return book.View(func(v *logbook.View) error { return printSupplement(a, v, s, false) })
}

// described are the supplements, and the parameters that they may raise.
func described(v *logbook.View) (all []logbook.Supplement, parameters []logbook.Parameter, err error) {
	if all, err = v.Supplements(); err == nil {
		parameters, err = v.Parameters()
	}
	return all, parameters, err
}

type saltJSON struct {
	Formula string `json:"formula"`
	Name    string `json:"name"`
	Note    string `json:"note"`
}

func showSupplement(a *app.App, name string) error {
	return a.View(func(v *logbook.View) error {
		s, err := a.Supplement(v, name)
		if err != nil {
			return err
		}
		return printSupplement(a, v, s, true)
	})
}

// printSupplement prints a supplement with its cautions: in full, or those that have one in a line.
func printSupplement(a *app.App, v *logbook.View, s logbook.Supplement, full bool) error {
	others, parameters, err := described(v)
	if err != nil {
		return err
	}
	dissolving := s.Dissolving()
	cautions := alerts.CautionsOf(s, others, parameters)
	if a.JSON {
		return a.PrintJSON(supplementOf(s, parameters, cautions))
	}
	a.Printf("%s: %s", words.OneLine(s.Name), words.Made(s))
	a.Printf("  raises %s", words.Raises(s, parameters))
	if dissolving == water.DissolvesNot || dissolving == water.DissolvesBarely {
		a.Printf("  warning: so much of it %s at 20 °C", dissolving)
	}
	for _, c := range cautions {
		switch {
		case full:
			a.Printf("  %s: %s", c.Topic, c.Text)
		case c.Brief != "":
			a.Printf("  caution: %s", c.Brief)
		}
	}
	if !full {
		a.Printf("  more of this: leadline supplement show %q", s.Name)
	}
	return nil
}

// supplementJSON is a supplement with what it raises and what to beware of.
type supplementJSON struct {
	Record   json.RawMessage `json:"record"` // as in JSON Lines
	Raises   []raiseJSON     `json:"raises"`
	Cautions []string        `json:"cautions"`
}

type raiseJSON struct {
	Parameter string       `json:"parameter"`
	Unit      string       `json:"unit"`
	PerMLPerL shape.Number `json:"per_ml_per_l"` // by how much 1 mL raises 1 L
}

func supplementOf(s logbook.Supplement, parameters []logbook.Parameter, cautions []water.Caution) supplementJSON {
	raises := words.Of(s.Raises(parameters), func(r logbook.Rise) raiseJSON {
		return raiseJSON{r.Parameter.Name, r.Parameter.Unit, shape.Number(r.Strength)}
	})
	return supplementJSON{logbook.RecordJSON(s), raises,
		words.Of(cautions, func(c water.Caution) string { return c.Text })}
}
