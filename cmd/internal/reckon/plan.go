package reckon

import (
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

type planOptions struct {
	to, supplement, strength, maxPerDay string
	reservoir, evaporation              float64 // litres; 0: not told
	within                              int
	outsideBand                         bool
}

func newPlan(a *app.App) *cobra.Command {
	var opt planOptions
	cmd := a.Command("plan PARAMETER --to LEVEL", planJSON{},
		func(args []string) error { return makePlan(a, args[0], opt) })
	f := cmd.Flags()
	f.StringVar(&opt.to, "to", "", "the `LEVEL` wanted")
	addSupplementFlags(cmd, &opt.supplement, &opt.strength)
	f.StringVar(&opt.maxPerDay, "max-per-day", "",
		"greatest `CHANGE` of the level in a day (else the parameter's usual one, common practice)")
	f.IntVar(&opt.within, "within", 0, "`DAYS` in which the target is wanted (else as many as it takes)")
	f.BoolVar(&opt.outsideBand, "outside-band", false, "the target is meant, though it lies outside your band")
	usage.Flag(f, &opt.reservoir, "reservoir", "supplement at hand: `VOLUME`, 2L or 800mL", litresFlag)
	usage.Flag(f, &opt.evaporation, "evaporation",
		"`VOLUME` that evaporates in a day and bounds limewater (else 1 % of the tank)", litresFlag)
	return cmd
}

func makePlan(a *app.App, parameter string, opt planOptions) error {
	if opt.to == "" {
		return usage.Errorf("leadline plan "+parameter+" --to LEVEL", "plan needs the level wanted: --to is missing")
	}
	if opt.within < 0 {
		return usage.Errorf("write --within 7", "--within: %d days are no time", opt.within)
	}
	return a.ViewSubject(parameter, func(v *logbook.View, tank logbook.Tank, p logbook.Parameter, asOf time.Time) error {
		w, err := wish(a, v, alerts.Demand{Tank: tank, Parameter: p, AsOf: asOf}, opt)
		if err != nil {
			return err
		}
		plan, err := alerts.PlanOf(v, tank, p, asOf, w)
		if err != nil {
			return usage.WithHint(err, planHint(err, tank, p, w, opt))
		}
		return a.Answer(planOf(plan), func() { printPlan(a, plan) })
	})
}

func planHint(err error, tank logbook.Tank, p logbook.Parameter, w alerts.Wish, opt planOptions) string {
	switch {
	case errors.Is(err, alerts.ErrOutsideBand):
		return "--outside-band plans it all the same; leadline band changes the band"
	case tank.VolumeL <= 0:
		return fmt.Sprintf("leadline tank set --tank %q --volume LITRES", tank.Name)
	case p.MaxRise == 0 && w.MaxPerDay == 0:
		return "--max-per-day CHANGE sets the greatest change in a day"
	case errors.Is(err, alerts.ErrOnlyWaterChange):
		return fmt.Sprintf("leadline what-if %s --water-change 20%%:LEVEL --to %s says how many", p.Name, opt.to)
	}
	return ""
}

func wish(a *app.App, v *logbook.View, d alerts.Demand, opt planOptions) (w alerts.Wish, err error) {
	p := d.Parameter
	w.Within, w.OutsideBand = opt.within, opt.outsideBand
	if w.Target, err = levelFlag(p, "--to", opt.to); err != nil {
		return w, err
	}
	if opt.maxPerDay != "" {
		if w.MaxPerDay, err = changeFlag(p, "--max-per-day", opt.maxPerDay); err != nil {
			return w, err
		}
		if w.MaxPerDay <= 0 {
			return w, usage.Errorf("write --max-per-day 0.5", "--max-per-day: %s is not more than nothing", opt.maxPerDay)
		}
	}
	w.ReservoirML, w.EvaporationML = 1000*opt.reservoir, 1000*opt.evaporation
	s, err := suppliedBy(a, v, d, opt.supplement, opt.strength)
	if err != nil {
		return w, err
	}
	if w.Supplement, w.Strength = s.name, s.Strength; s.Supplement.Name == "" {
		return w, nil
	}
	others, err := v.Supplements()
	if err != nil {
		return w, err
	}
	return w, w.Use(s.Supplement, p, others)
}

func printPlan(a *app.App, pl alerts.Plan) {
	a.PrintAs(words.Head, "plan for %s of %s as of %s", pl.Finding.Parameter.Name, words.OneLine(pl.Finding.Tank.Name),
		words.Moment(pl.Aim.Start))
	a.Each("  %s", pl.Lines(0))
	a.Each("  caution: %s", pl.Beware())
	if pl.Wish.Supplement != "" && len(pl.Wish.Cautions) > 0 {
		a.Printf("  more of this: leadline supplement show %q", pl.Wish.Supplement)
	}
}

// planJSON is a plan, with what it was made from.
type planJSON struct {
	Tank          string         `json:"tank"`
	Parameter     string         `json:"parameter"`
	Unit          string         `json:"unit"`
	AsOf          shape.Moment   `json:"as_of"`
	Supplement    string         `json:"supplement"`
	Level         shape.Number   `json:"level"`
	LevelSD       shape.Number   `json:"level_sd"`
	Target        shape.Number   `json:"target"`
	Demand        shape.Number   `json:"demand_per_day"`
	DemandSD      shape.Number   `json:"demand_sd"`
	Supply        shape.Number   `json:"supply_per_day"` // at present
	MaxRise       shape.Number   `json:"max_rise_per_day"`
	MaxFall       shape.Number   `json:"max_fall_per_day"`
	StandingRise  shape.Number   `json:"standing_per_day"`
	StandingML    shape.Number   `json:"standing_ml_per_day"`
	Steps         []planStepJSON `json:"steps"`
	Final         shape.Expected `json:"final"`
	Confidence    shape.Number   `json:"confidence"` // of every lo and hi of the plan
	Portions      int            `json:"portions_per_day"`
	TestBy        shape.Moment   `json:"test_by"`
	ReservoirDays shape.Number   `json:"reservoir_days"`
	Notes         []string       `json:"notes"`
	Cautions      []string       `json:"cautions"`
}

type planStepJSON struct {
	Day    shape.Moment   `json:"day"`
	ML     shape.Number   `json:"ml"`
	Change shape.Number   `json:"change"`
	Expect shape.Expected `json:"expect"`
}

func planOf(pl alerts.Plan) planJSON {
	return planJSON{Tank: pl.Finding.Tank.Name, Parameter: pl.Finding.Parameter.Name, Unit: pl.Finding.Parameter.Unit,
		AsOf: shape.Moment(pl.Aim.Start), Supplement: pl.Wish.Supplement, Level: shape.Number(pl.Aim.Level),
		LevelSD: shape.Number(pl.Aim.LevelSD), Target: shape.Number(pl.Aim.Target), Demand: shape.Number(pl.Aim.Demand),
		DemandSD: shape.Number(pl.Aim.DemandSD), Supply: shape.Number(pl.Demand.Estimate.Supply),
		MaxRise: shape.Number(pl.Aim.MaxRise), MaxFall: shape.Number(pl.Aim.MaxFall),
		StandingRise: shape.Number(pl.StandingRise), StandingML: shape.Number(pl.StandingML),
		Steps: words.Of(pl.Steps, func(s water.PlanStep) planStepJSON {
			return planStepJSON{shape.Moment(s.Time), shape.Number(s.Millilitres), shape.Number(s.Change),
				shape.ExpectationOf(s.Expect)}
		}), Final: shape.ExpectationOf(pl.Final), Confidence: water.PlanConfidence, Portions: pl.Portions,
		TestBy: shape.Moment(pl.TestBy()), ReservoirDays: shape.Number(pl.ReservoirDays),
		Notes:    append([]string{}, pl.Notes...),
		Cautions: words.Of(pl.Cautions(), func(c water.Caution) string { return c.Text })}
}
