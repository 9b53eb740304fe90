package main

import (
	"context"
	"math"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/logbook"
)

type demandOptions struct{ allTanks, hindcast bool }

func newDemand(a *app) *cobra.Command {
	var opt demandOptions
	cmd := a.prints(demandJSON{}, &cobra.Command{
		Use:   "demand PARAMETER",
		Short: "what a tank consumes per day, whatever was dosed and changed meanwhile",
		Long: `What a tank consumes of a parameter per day, from the readings and from all that dosing, doses and water
changes did in between, with an 80 % interval; and how much of each described supplement meets it.`,
		Example: `  # alkalinity, now
  leadline demand alkalinity

  # what would have been said at each past reading, of every tank, for a script
  leadline demand calcium --all-tanks --hindcast --json`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: a.completeParameters,
		RunE:              func(cmd *cobra.Command, args []string) error { return a.demand(cmd, args[0], opt) },
	})
	f := cmd.Flags()
	f.BoolVar(&opt.allTanks, "all-tanks", false, "every tank that has readings of the parameter")
	f.BoolVar(&opt.hindcast, "hindcast", false, "what would have been said at each past reading")
	return cmd
}

func (a *app) demand(cmd *cobra.Command, parameter string, opt demandOptions) error {
	if opt.allTanks && a.tankFlag != "" {
		return usagef("pass one of them", "--all-tanks and --tank exclude each other")
	}
	book, err := a.book()
	if err != nil {
		return err
	}
	tanks, p, err := a.tanksAndParameter(book, parameter, opt.allTanks)
	if err != nil {
		return err
	}
	for _, tank := range tanks {
		if err := cmd.Context().Err(); err != nil {
			return err
		}
		if opt.hindcast {
			err = a.hindcastDemand(cmd.Context(), book, tank, p)
		} else {
			err = book.View(func(v *logbook.View) error { return a.demandNow(v, tank, p, opt.allTanks) })
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// tanksAndParameter finds what a command that may go over all tanks is about.
func (a *app) tanksAndParameter(book *logbook.Book, parameter string, allTanks bool) (tanks []logbook.Tank, p logbook.Parameter, err error) {
	err = book.View(func(v *logbook.View) error {
		var err error
		if p, err = a.parameter(v, parameter); err != nil {
			return err
		}
		if allTanks {
			tanks, err = v.Tanks()
			return err
		}
		tank, err := a.tank(v)
		tanks = []logbook.Tank{tank}
		return err
	})
	return tanks, p, err
}

func (a *app) demandNow(v *logbook.View, tank logbook.Tank, p logbook.Parameter, allTanks bool) error {
	asOf, err := a.asOf(tank)
	if err != nil {
		return err
	}
	d, err := alerts.DemandOf(v, tank, p, asOf)
	if err != nil || allTanks && d.Estimate.N == 0 {
		return err
	}
	holdings, err := alerts.Holdings(v, d)
	if err != nil {
		return err
	}
	balance, balanced, err := alerts.CalcificationOf(v, d)
	if err != nil {
		return err
	}
	if a.json {
		out := demandOf(d)
		out.Supplements = holdingsOf(holdings)
		if balanced {
			out.Calcification = &calcificationJSON{number(balance.Ratio), number(balance.Lo), number(balance.Hi), balance.Verdict(), balance.Text()}
		}
		return a.printJSON(out)
	}
	a.printf("%s of %s as of %s", p.Name, oneLine(tank.Name), whenText(asOf))
	if d.Estimate.N == 0 {
		a.printf("  no readings up to then")
		return nil
	}
	a.printf("  %s", d.Text())
	if growth := d.GrowthText(); growth != "" {
		a.printf("  %s", growth)
	}
	for _, note := range d.Estimate.Notes {
		if !math.IsNaN(d.Estimate.PerDay) { // else the sentence above has said it
			a.printf("  %s", note.Text)
		}
	}
	for _, h := range holdings {
		a.printf("  %s", oneLine(h.Text()))
	}
	if balanced {
		for _, line := range balance.Text() {
			a.printf("  %s", line)
		}
	}
	return nil
}

// hindcastDemand prints the demand as-of each past reading up to --as-of.
func (a *app) hindcastDemand(ctx context.Context, book *logbook.Book, tank logbook.Tank, p logbook.Parameter) error {
	var ds []alerts.Demand
	var thinned bool
	err := book.View(func(v *logbook.View) (err error) {
		ds, thinned, err = alerts.HindcastDemand(v, tank, p)
		return err
	})
	if err != nil {
		return err
	}
	if thinned && a.json {
		return eachReading(ctx, a, book, tank, p, alerts.DemandOf, func(d alerts.Demand) error { return a.printJSON(demandOf(d)) })
	}
	asOf, err := a.asOf(tank)
	if err != nil {
		return err
	}
	if thinned {
		a.say("note: %s", dailyNote(tank, p))
	}
	var c columns
	for _, d := range ds {
		if a.asOfFlag != "" && d.AsOf.After(asOf) {
			break
		}
		if a.json {
			if err := a.printJSON(demandOf(d)); err != nil {
				return err
			}
			continue
		}
		c.add(oneLine(tank.Name), whenText(d.AsOf), d.Text())
	}
	c.print(a, "")
	return nil
}

// demandJSON is what a tank consumes per day, as-of a moment.
type demandJSON struct {
	Tank           string             `json:"tank"`
	Parameter      string             `json:"parameter"`
	Unit           string             `json:"unit"`
	AsOf           moment             `json:"as_of"`
	PerDay         number             `json:"demand_per_day"`
	Lo             number             `json:"lo"`
	Hi             number             `json:"hi"`
	Supply         number             `json:"supply_per_day"`
	Net            number             `json:"net_per_day"`
	N              int                `json:"n"`
	GrowthPerMonth number             `json:"growth_per_month"` // a fraction per 30 days
	GrowthLo       number             `json:"growth_lo"`
	GrowthHi       number             `json:"growth_hi"`
	Notes          []string           `json:"notes"`
	Supplements    []holdingJSON      `json:"supplements,omitempty"`
	Calcification  *calcificationJSON `json:"calcification,omitempty"`
}

// holdingJSON is how much of a supplement meets a demand.
type holdingJSON struct {
	Supplement string `json:"supplement"`
	PerDay     number `json:"ml_per_day"`
	Lo         number `json:"ml_per_day_lo"`
	Hi         number `json:"ml_per_day_hi"`
	PerWeek    number `json:"ml_per_week"`
	InUse      bool   `json:"in_use"`
}

// calcificationJSON compares the demands of alkalinity and calcium: moles of the one to a mole of the other.
type calcificationJSON struct {
	Ratio   number   `json:"ratio"`
	Lo      number   `json:"lo"`
	Hi      number   `json:"hi"`
	Verdict string   `json:"verdict"` // "fits", "low", "high" or "unknown"
	Text    []string `json:"text"`
}

func demandOf(d alerts.Demand) demandJSON {
	e := d.Estimate
	out := demandJSON{Tank: d.Tank.Name, Parameter: d.Parameter.Name, Unit: d.Parameter.Unit, AsOf: moment(d.AsOf),
		PerDay: number(e.PerDay), Lo: number(e.Lo), Hi: number(e.Hi), Supply: number(e.Supply), Net: number(e.Net), N: e.N,
		GrowthPerMonth: number(e.Growth), GrowthLo: number(e.GrowthLo), GrowthHi: number(e.GrowthHi), Notes: []string{}}
	for _, n := range e.Notes {
		out.Notes = append(out.Notes, n.Text)
	}
	return out
}

func holdingsOf(hs []alerts.Holding) []holdingJSON {
	var out []holdingJSON
	for _, h := range hs {
		out = append(out, holdingJSON{h.Supplement, number(h.PerDay), number(h.Lo), number(h.Hi), number(7 * h.PerDay), h.InUse})
	}
	return out
}
