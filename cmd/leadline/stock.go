package main

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/logbook"
)

type stockOptions struct {
	unit, supplement, parameter, method string
	perDay                              float64
	at, expires, note                   string
}

func newStock(a *app) *cobra.Command {
	return group("stock", "what is used up: reservoirs, reagents, media", newStockAdd(a), newStockRefill(a), newStockList(a))
}

func newStockAdd(a *app) *cobra.Command {
	var opt stockOptions
	cmd := a.prints([]stockJSON{}, &cobra.Command{
		Use:   "add NAME",
		Short: "set up a stock: it runs down by the dosing of a supplement, by tests, or by so much a day",
		Example: `  # a reservoir of a supplement that is dosed
  leadline stock add "soda ash reservoir" --supplement "soda ash" --unit mL

  # a reagent, counted in tests
  leadline stock add "phosphate reagent" --parameter po4 --method photometer-p

  # a roll of fleece, 30 cm a day
  leadline stock add fleece --per-day 0.3 --unit m`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.addStock(args[0], opt) },
	})
	f := cmd.Flags()
	f.StringVar(&opt.unit, "unit", "", "`UNIT` it is counted in (else mL for a supplement and tests for a reagent)")
	f.StringVar(&opt.supplement, "supplement", "", "`NAME` of the supplement that is in it")
	f.StringVar(&opt.parameter, "parameter", "", "the `PARAMETER` that a reagent tests")
	f.StringVar(&opt.method, "method", "", "only tests by this `METHOD` use the reagent")
	f.Float64Var(&opt.perDay, "per-day", 0, "`AMOUNT` used a day, for anything else")
	return cmd
}

func (a *app) addStock(name string, opt stockOptions) error {
	s := logbook.Stock{Name: name, Unit: opt.unit, Supplement: opt.supplement, Method: opt.method, PerDay: opt.perDay}
	book, err := a.book()
	if err != nil {
		return err
	}
	err = book.View(func(v *logbook.View) error {
		tank, err := a.tank(v)
		if err != nil {
			return err
		}
		s.Tank = tank.Name
		if opt.parameter != "" {
			p, err := a.parameter(v, opt.parameter)
			if err != nil {
				return err
			}
			s.Parameter = p.Name
		}
		if s.Supplement != "" {
			_, err = a.supplement(v, s.Supplement)
		}
		return err
	})
	if err != nil {
		return err
	}
	if s, err = entry.Stock(s); err != nil {
		return wrongUsage(err, "--supplement NAME, or --parameter PARAMETER, or --per-day AMOUNT --unit UNIT")
	}
	if _, err := book.Append(s); err != nil {
		return err
	}
	a.tankFlag = s.Tank
	if err := a.listStocks(s.Name); err != nil {
		return err
	}
	return book.View(func(v *logbook.View) error {
		filled, err := v.Entries(s.Tank, logbook.KindRefill, time.Time{}, time.Time{})
		known := slices.ContainsFunc(filled, func(e logbook.Entry) bool { return e.(logbook.Refill).Stock == s.Name })
		if err == nil && !known {
			a.say("note: leadline stock refill %q AMOUNT says how much is there", s.Name)
		}
		return err
	})
}

func newStockRefill(a *app) *cobra.Command {
	var opt stockOptions
	cmd := a.printsRecords(&cobra.Command{
		Use:   "refill NAME AMOUNT",
		Short: "note down how much there is now, after filling up or looking",
		Example: `  # the reservoir is full
  leadline stock refill "soda ash reservoir" 2L

  # a new box of reagent
  leadline stock refill "phosphate reagent" 100 --expires 2027-10-31`,
		Args: cobra.ExactArgs(2),
		RunE: func(_ *cobra.Command, args []string) error { return a.refill(args[0], args[1], opt) },
	})
	f := cmd.Flags()
	f.StringVar(&opt.expires, "expires", "", "last `DATE` on which it is good")
	f.StringVar(&opt.at, "at", "", "`TIME` (else now); a date alone means noon in the tank's zone")
	f.StringVar(&opt.note, "note", "", "a `TEXT` to remember")
	return cmd
}

func (a *app) refill(name, text string, opt stockOptions) error {
	if _, err := time.Parse(time.DateOnly, opt.expires); err != nil && opt.expires != "" {
		return usagef("write 2027-10-31", "--expires: %q is not a date", opt.expires)
	}
	return a.noteDown(opt.at, func(v *logbook.View, tank logbook.Tank, when time.Time) ([]logbook.Entry, error) {
		s, err := stockNamed(v, tank, name)
		if err != nil {
			return nil, err
		}
		amount, err := entry.There(s, text)
		if err != nil {
			_, hint := inWords(err)
			return nil, wrongUsage(err, hint)
		}
		return []logbook.Entry{logbook.Refill{Time: when, Tank: tank.Name, Stock: s.Name, Amount: amount, Expires: opt.expires, Note: opt.note}}, nil
	})
}

func stockNamed(v *logbook.View, tank logbook.Tank, name string) (logbook.Stock, error) {
	stocks, err := v.Stocks(tank.Name)
	if err != nil {
		return logbook.Stock{}, err
	}
	var known []string
	for _, s := range stocks {
		if s.Name == name {
			return s, nil
		}
		known = append(known, s.Name)
	}
	hint := "leadline stock add sets one up"
	if len(known) > 0 {
		hint = "it has " + strings.Join(known, ", ") + "; " + hint
	}
	return logbook.Stock{}, usagef(didYouMean(name, known, hint), "%s has no stock %q", tank.Name, name)
}

func newStockList(a *app) *cobra.Command {
	return a.prints([]stockJSON{}, &cobra.Command{
		Use:   "list",
		Short: "what is left of everything, and when it runs out",
		Args:  cobra.NoArgs,
		RunE:  func(*cobra.Command, []string) error { return a.listStocks("") },
	})
}

// listStocks prints the stocks of the tanks that are meant, or the one of a name.
func (a *app) listStocks(name string) error {
	reports, err := a.reports()
	if err != nil {
		return err
	}
	list := []stockJSON{}
	var c columns
	for _, r := range reports {
		for _, s := range r.Stocks {
			if name != "" && s.Name != name {
				continue
			}
			list = append(list, stockOf(s, r.AsOf))
			c.add(s.Tank, s.Name, s.Text(r.AsOf))
			if s.Basis != "" {
				c.add("", "", "rests on: "+s.Basis)
			}
		}
	}
	if a.json {
		return a.printJSON(list)
	}
	c.print(a, "")
	return nil
}

// printSupplies lists stocks and chores under a tank's status.
func (a *app) printSupplies(r alerts.Report) {
	var c columns
	for _, s := range r.Stocks {
		c.add("stock", s.Name, s.Text(r.AsOf))
	}
	for _, ch := range r.Chores {
		due := ch.Text()
		if text := ch.DueText(); text != "" {
			due = "next " + text
		}
		c.add("chore", ch.Name, due)
	}
	c.print(a, "  ")
}

func refillText(r logbook.Refill) string {
	text := fmt.Sprintf("refill %s %g", r.Stock, r.Amount)
	if r.Expires != "" {
		text += ", good until " + r.Expires
	}
	return text
}

// stockJSON is what is left of a stock, in its unit, and when it runs out; 80 % between p10 and p90. A date is null
// where it is not known or lies beyond ten years.
type stockJSON struct {
	Tank       string  `json:"tank"`
	Stock      string  `json:"stock"`
	Unit       string  `json:"unit"`
	Supplement *string `json:"supplement"`
	Parameter  *string `json:"parameter"`
	AsOf       moment  `json:"as_of"`
	Refilled   moment  `json:"refilled"`
	Refill     number  `json:"refill"` // how much there was then
	Left       number  `json:"left"`
	PerDay     number  `json:"per_day"`
	OutP10     moment  `json:"runs_out_p10"`
	OutP50     moment  `json:"runs_out_p50"`
	OutP90     moment  `json:"runs_out_p90"`
	Expires    moment  `json:"expires"` // the first moment at which it has expired
	Basis      string  `json:"basis"`
	Why        string  `json:"why"` // why the end cannot be told; "" if it can
	Text       string  `json:"text"`
}

func stockOf(s alerts.Stock, asOf time.Time) stockJSON {
	date := func(days float64) moment {
		if math.IsNaN(days) || math.IsInf(days, 0) {
			return moment{}
		}
		return moment(alerts.TimeOf(alerts.Day(asOf)+days, asOf.Location()))
	}
	refill := math.NaN()
	if !s.Filled.Time.IsZero() {
		refill = s.Filled.Amount
	}
	return stockJSON{Tank: s.Tank, Stock: s.Name, Unit: s.Unit, Supplement: textOrNull(s.Supplement), Parameter: textOrNull(s.Parameter),
		AsOf: moment(asOf), Refilled: moment(s.Filled.Time), Refill: number(refill), Left: number(s.Left), PerDay: number(s.PerDay),
		OutP10: date(s.Out.P10), OutP50: date(s.Out.P50), OutP90: date(s.Out.P90), Expires: moment(s.Expires),
		Basis: s.Basis, Why: s.Why, Text: s.Text(asOf)}
}
