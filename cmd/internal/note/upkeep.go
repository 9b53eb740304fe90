package note

import (
	"cmp"
	"fmt"
	"slices"
	"time"

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

func newStock(a *app.App) *cobra.Command {
	return usage.Group("stock", newStockAdd(a), newStockRefill(a),
		a.Command("list", []shape.Stock{}, func([]string) error { return listStocks(a, "") }),
		app.NewHistory(a, "history NAME",
			func(_ *logbook.View, t logbook.Tank, args []string) ([]logbook.Record, string, error) {
				return []logbook.Record{logbook.Stock{Tank: t.Name, Name: args[0]}}, "", nil
			}))
}

func newStockAdd(a *app.App) *cobra.Command {
	var s logbook.Stock
	cmd := a.Command("add NAME", []shape.Stock{}, func(args []string) error {
		s.Name = args[0]
		return addStock(a, s)
	})
	f := cmd.Flags()
	f.StringVar(&s.Unit, "unit", "", "`UNIT` it is counted in (else mL for a supplement and tests for a reagent)")
	f.StringVar(&s.Supplement, "supplement", "", "`NAME` of the supplement that is in it")
	f.StringVar(&s.Parameter, "parameter", "", "the `PARAMETER` that a reagent tests")
	f.StringVar(&s.Method, "method", "", "only tests by this `METHOD` use the reagent")
	f.StringArrayVar(&s.Shared, "also", nil, "another `TANK` that it serves; may be given again")
	f.Float64Var(&s.PerDay, "per-day", 0, "`AMOUNT` used a day, for anything else")
	return cmd
}

func addStock(a *app.App, s logbook.Stock) error {
	err := a.ViewTank(func(v *logbook.View, tank logbook.Tank) (err error) {
		s.Tank = tank.Name
		for _, name := range s.Shared {
			if _, err := v.Tank(name); err != nil {
				return err
			}
		}
		if s.Parameter != "" {
			p, err := a.Parameter(v, s.Parameter)
			if err != nil {
				return err
			}
			s.Parameter = p.Name
		}
		if s.Supplement != "" {
			_, err = a.Supplement(v, s.Supplement)
		}
		return err
	})
	if err != nil {
		return err
	}
	if s, err = entry.Stock(s); err != nil {
		return usage.Wrong(err, "--supplement NAME, or --parameter PARAMETER, or --per-day AMOUNT --unit UNIT")
	}
	if _, err := a.Opened.Append(s); err != nil {
		return err
	}
	a.TankFlag = s.Tank
	if err := listStocks(a, s.Name); err != nil {
		return err
	}
	return a.Opened.View(func(v *logbook.View) error {
		filled, err := v.Entries(s.Tank, logbook.KindRefill, time.Time{}, time.Time{})
		known := slices.ContainsFunc(filled, func(e logbook.Entry) bool { return e.(logbook.Refill).Stock == s.Name })
		if err == nil && !known {
			a.Say("note: leadline stock refill %q AMOUNT says how much is there", s.Name)
		}
		return err
	})
}

func newStockRefill(a *app.App) *cobra.Command {
	var opt said
	var expires string
	cmd := a.Command("refill NAME AMOUNT", shape.Records{}, func(args []string) error {
		return refill(a, args[0], args[1], expires, opt)
	})
	f := cmd.Flags()
	f.StringVar(&expires, "expires", "", "last `DATE` on which it is good; 2027-10 means the end of that month")
	opt.flags(f)
	return cmd
}

func refill(a *app.App, name, text, good string, opt said) error {
	expires, err := entry.Expiry(good)
	if err != nil {
		return usage.Mistyped(fmt.Errorf("--expires: %w", err))
	}
	return noteDown(a, opt, func(v *logbook.View, tank logbook.Tank, when time.Time) ([]logbook.Entry, error) {
		s, err1 := stockNamed(v, tank, name)
		amount, err2 := entry.There(s, text)
		c, err3 := entry.Load(v, tank, when)
		if err := cmp.Or(err1, usage.Mistyped(err2), err3); err != nil {
			return nil, err
		}
		of, _ := c.Supplement(s.Supplement)
		a.SayEach("caution: %s", water.Briefs(alerts.BewareRefill(of, c.Supplements)))
		r := logbook.Refill{Time: when, Tank: s.Tank, Stock: s.Name, Amount: amount, Expires: expires, Note: opt.note}
		doubts, err := entry.DoubtRefill(v, r)
		a.SayEach("warning: %s", doubts)
		return []logbook.Entry{r}, err
	})
}

// stockNamed finds a stock of a tank, or one of another tank that serves it.
func stockNamed(v *logbook.View, tank logbook.Tank, name string) (logbook.Stock, error) {
	tanks, err := v.Tanks()
	if err != nil {
		return logbook.Stock{}, err
	}
	var stocks []logbook.Stock
	for i, of := range append([]logbook.Tank{tank}, tanks...) { // its own first
		theirs, err := v.Stocks(of.Name)
		if err != nil {
			return logbook.Stock{}, err
		}
		for _, s := range theirs {
			if i == 0 || slices.Contains(s.Shared, tank.Name) {
				stocks = append(stocks, s)
			}
		}
	}
	for _, s := range stocks {
		if s.Name == name {
			return s, nil
		}
	}
	return logbook.Stock{}, usage.NotThere(name, words.Of(stocks, func(s logbook.Stock) string { return s.Name }),
		"it has", "leadline stock add sets one up", "%s has no stock %q", tank.Name, name)
}

// listStocks prints the stocks of the tanks that are meant, or the one of a name.
func listStocks(a *app.App, name string) error {
	reports, err := a.Reports()
	if err != nil {
		return err
	}
	list := []shape.Stock{}
	var c words.Table
	for _, r := range reports {
		for _, s := range r.Stocks {
			if name != "" && s.Name != name {
				continue
			}
			list = append(list, shape.StockOf(s, r.AsOf))
			c.AddAs(app.LookOf(s.Name, r.Alerts, r.AsOf), s.Tank, s.Name, s.Text(r.AsOf))
			if s.Basis != "" {
				c.Add("", "", "rests on: "+s.Basis)
			}
		}
	}
	return a.PrintList(list, c)
}

func newChore(a *app.App) *cobra.Command {
	return usage.Group("chore", newChoreAdd(a), newChoreDone(a),
		a.Command("list", []shape.Chore{}, func([]string) error { return listChores(a, "") }),
		app.NewHistory(a, "history NAME",
			func(_ *logbook.View, t logbook.Tank, args []string) ([]logbook.Record, string, error) {
				return []logbook.Record{logbook.Chore{Tank: t.Name, Name: args[0]}}, "", nil
			}))
}

func newChoreAdd(a *app.App) *cobra.Command {
	var c logbook.Chore
	cmd := a.Command("add NAME", []shape.Chore{}, func(args []string) error {
		c.Name = args[0]
		return addChore(a, c)
	})
	usage.Flag(cmd.Flags(), &c.EveryDays, "every", "`TIME` between two: 42d, 6w, 3mo (else learned from when it was done)",
		app.ParseDays)
	return cmd
}

func addChore(a *app.App, c logbook.Chore) error {
	tank, err := app.Seen(a, a.Tank)
	if err != nil {
		return err
	}
	c.Tank = tank.Name
	if _, err := a.Opened.Append(c); err != nil {
		return err
	}
	bewareOf(a, c.Name)
	a.TankFlag = c.Tank
	return listChores(a, c.Name)
}

func newChoreDone(a *app.App) *cobra.Command {
	var opt said
	cmd := a.Command("done NAME", shape.Records{}, func(args []string) error { return choreDone(a, args[0], opt) })
	opt.flags(cmd.Flags())
	return cmd
}

func choreDone(a *app.App, name string, opt said) error {
	return noteDown(a, opt, func(v *logbook.View, tank logbook.Tank, when time.Time) ([]logbook.Entry, error) {
		chores, err := v.Chores(tank.Name)
		if err != nil {
			return nil, err
		}
		there := words.Of(chores, func(c logbook.Chore) string { return c.Name })
		if !slices.Contains(there, name) {
			return nil, usage.NotThere(name, there, "it has", "leadline chore add sets one up", "%s has no chore %q", tank.Name,
				name)
		}
		bewareOf(a, name)
		return []logbook.Entry{logbook.ChoreDone{Time: when, Tank: tank.Name, Chore: name, Note: opt.note}}, nil
	})
}

// listChores prints the chores of the tanks that are meant, or the one of a name.
func listChores(a *app.App, name string) error {
	reports, err := a.Reports()
	if err != nil {
		return err
	}
	list := []shape.Chore{}
	var c words.Table
	for _, r := range reports {
		for _, ch := range r.Chores {
			if name != "" && ch.Name != name {
				continue
			}
			list = append(list, shape.ChoreOf(ch))
			c.AddAs(app.LookOf(ch.Name, r.Alerts, r.AsOf), ch.Tank, ch.Name, ch.Text(r.AsOf),
				words.With("next ", ch.DueText(r.AsOf)))
		}
	}
	return a.PrintList(list, c)
}
