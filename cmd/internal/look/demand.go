package look

import (
	"cmp"
	"context"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/trend"
)

type demandOptions struct{ allTanks, hindcast bool }

func newDemand(a *app.App) *cobra.Command {
	var opt demandOptions
	cmd := a.CommandOf("demand PARAMETER", demandJSON{}, func(cmd *cobra.Command, args []string) error {
		return demand(a, cmd, args[0], opt)
	})
	f := cmd.Flags()
	f.BoolVar(&opt.allTanks, "all-tanks", false, "every tank that has readings of the parameter")
	f.BoolVar(&opt.hindcast, "hindcast", false, "what would have been said at each past reading")
	return cmd
}

func demand(a *app.App, cmd *cobra.Command, parameter string, opt demandOptions) error {
	tanks, p, err := tanksAndParameter(a, parameter, opt.allTanks)
	if err != nil {
		return err
	}
	for _, tank := range tanks {
		if err := cmd.Context().Err(); err != nil {
			return err
		}
		if opt.hindcast {
			err = hindcastDemand(cmd.Context(), a, tank, p)
		} else {
			err = a.Opened.View(func(v *logbook.View) error { return demandNow(a, v, tank, p, opt.allTanks) })
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// tanksAndParameter finds what a command that may go over all tanks is about.
func tanksAndParameter(a *app.App, parameter string, allTanks bool) (tanks []logbook.Tank, p logbook.Parameter,
	err error) {
	if allTanks && a.TankFlag != "" {
		return nil, p, usage.Errorf("pass one of them", "--all-tanks and --tank exclude each other")
	}
	err = a.View(func(v *logbook.View) (err error) {
		if p, err = a.Parameter(v, parameter); err != nil {
			return err
		}
		if allTanks {
			tanks, err = v.Tanks()
			return err
		}
		tank, err := a.Tank(v)
		tanks = []logbook.Tank{tank}
		return err
	})
	return tanks, p, err
}

func demandNow(a *app.App, v *logbook.View, tank logbook.Tank, p logbook.Parameter, allTanks bool) error {
	asOf, err := a.AsOf(tank)
	if err != nil {
		return err
	}
	d, err := alerts.DemandOf(v, tank, p, asOf)
	if err != nil || allTanks && d.Estimate.N == 0 {
		return err
	}
	holdings, err1 := alerts.Holdings(v, d)
	balance, balanced, err2 := alerts.CalcificationOf(v, d)
	if err := cmp.Or(err1, err2); err != nil {
		return err
	}
	if a.JSON {
		out := DemandOf(d)
		out.Supplements = words.Of(holdings, func(h alerts.Holding) holdingJSON {
			return holdingJSON{h.Supplement, shape.Number(h.PerDay), shape.Number(h.Lo), shape.Number(h.Hi),
				shape.Number(7 * h.PerDay), h.InUse}
		})
		if balanced {
			out.Calcification = &calcificationJSON{shape.Number(balance.Ratio), shape.Number(balance.Lo),
				shape.Number(balance.Hi), balance.Verdict(), balance.Text()}
		}
		return a.PrintJSON(out)
	}
	a.PrintAs(words.Head, "%s of %s as of %s", p.Name, words.OneLine(tank.Name), words.Moment(asOf))
	if d.Estimate.N == 0 {
		a.Printf("  no readings up to then")
		return nil
	}
	a.Each("  %s", words.Of(d.Says(holdings, balance, balanced), words.OneLine))
	return nil
}

// hindcastDemand prints the demand as-of each past reading up to --as-of.
func hindcastDemand(ctx context.Context, a *app.App, tank logbook.Tank, p logbook.Parameter) error {
	of := past[alerts.Demand]{at: func(d alerts.Demand) time.Time { return d.AsOf }, reckon: alerts.DemandOf,
		json: func(d alerts.Demand) any { return DemandOf(d) }}
	err := a.Opened.View(func(v *logbook.View) (err error) {
		of.said, of.dense, err = alerts.HindcastDemand(v, tank, p)
		return err
	})
	if err != nil {
		return err
	}
	ds, err := tellPast(ctx, a, tank, p, of)
	if err != nil || a.JSON {
		return err
	}
	var c words.Table
	for _, d := range ds {
		c.Add(words.OneLine(tank.Name), words.Moment(d.AsOf), d.Text())
	}
	a.Table(c, "")
	return nil
}

// demandJSON is what a tank consumes per day, as-of a moment.
type demandJSON struct {
	Tank           string             `json:"tank"`
	Parameter      string             `json:"parameter"`
	Unit           string             `json:"unit"`
	AsOf           shape.Moment       `json:"as_of"`
	PerDay         shape.Number       `json:"demand_per_day"`
	Lo             shape.Number       `json:"lo"`
	Hi             shape.Number       `json:"hi"`
	Supply         shape.Number       `json:"supply_per_day"`
	Net            shape.Number       `json:"net_per_day"`
	N              int                `json:"n"`
	GrowthPerMonth shape.Number       `json:"growth_per_month"` // a fraction per 30 days
	GrowthLo       shape.Number       `json:"growth_lo"`
	GrowthHi       shape.Number       `json:"growth_hi"`
	Notes          []string           `json:"notes"`
	Supplements    []holdingJSON      `json:"supplements,omitempty"`
	Calcification  *calcificationJSON `json:"calcification,omitempty"`
}

// holdingJSON is how much of a supplement meets a demand.
type holdingJSON struct {
	Supplement string       `json:"supplement"`
	PerDay     shape.Number `json:"ml_per_day"`
	Lo         shape.Number `json:"ml_per_day_lo"`
	Hi         shape.Number `json:"ml_per_day_hi"`
	PerWeek    shape.Number `json:"ml_per_week"`
	InUse      bool         `json:"in_use"`
}

// calcificationJSON compares the demands of alkalinity and calcium: moles of the one to a mole of the other.
type calcificationJSON struct {
	Ratio   shape.Number `json:"ratio"`
	Lo      shape.Number `json:"lo"`
	Hi      shape.Number `json:"hi"`
	Verdict string       `json:"verdict"` // "fits", "low", "high" or "unknown"
	Text    []string     `json:"text"`
}

func DemandOf(d alerts.Demand) demandJSON {
	e := d.Estimate
	return demandJSON{Tank: d.Tank.Name, Parameter: d.Parameter.Name, Unit: d.Parameter.Unit, AsOf: shape.Moment(d.AsOf),
		PerDay: shape.Number(e.PerDay), Lo: shape.Number(e.Lo), Hi: shape.Number(e.Hi), Supply: shape.Number(e.Supply),
		Net: shape.Number(e.Net), N: e.N,
		GrowthPerMonth: shape.Number(e.Growth), GrowthLo: shape.Number(e.GrowthLo), GrowthHi: shape.Number(e.GrowthHi),
		Notes: words.Of(e.Notes, func(n trend.Note) string { return n.Text })}
}
