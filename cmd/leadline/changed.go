package main

import (
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/trend"
)

type changedOptions struct{ around, within string }

func newChanged(a *app) *cobra.Command {
	var opt changedOptions
	cmd := a.prints(changedJSON{}, &cobra.Command{
		Use:   "changed",
		Short: "what changed in the water around a date, and what was done then",
		Example: `  # a colony lost colour in the middle of April
  leadline changed --around 2026-04-15

  # eight weeks on each side
  leadline changed --around 2026-04-15 --within 8w --json`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error { return a.changed(opt) },
	})
	f := cmd.Flags()
	f.StringVar(&opt.around, "around", "", "the `TIME` that is asked about; a date alone means noon in the tank's zone")
	f.StringVar(&opt.within, "within", "4w", "`LENGTH` looked at on each side: 28d, 4w")
	return cmd
}

func (a *app) changed(opt changedOptions) error {
	if opt.around == "" {
		return usagef("leadline changed --around 2026-04-15", "around when? --around is missing")
	}
	days, err := parseDays("--within", opt.within)
	if err != nil {
		return err
	}
	return a.view(func(v *logbook.View) error {
		tank, err := a.tank(v)
		if err != nil {
			return err
		}
		around, err := a.at(opt.around, tank)
		if err != nil {
			return err
		}
		c, err := alerts.WhatChanged(v, tank.Name, around, days)
		if err != nil {
			return err
		}
		moves := make([]trend.Move, len(c.Parameters))
		for i, p := range c.Parameters {
			moves[i] = p.Move()
		}
		if a.json {
			return a.printJSON(changedOf(c, moves))
		}
		a.printChanged(c, moves)
		return nil
	})
}

func (a *app) printChanged(c alerts.Changed, moves []trend.Move) {
	a.printf("%s, %.0f days before and after %s", oneLine(c.Tank.Name), c.Days, whenText(c.Around))
	var table columns
	var dense []string
	if len(c.Parameters) > 0 {
		table.add("", "median before (readings)", "after", "shift: the median of all differences")
	}
	for _, p := range c.Parameters {
		before, after := sideCell(p.Parameter, p.Before, p.Comparison.NBefore), sideCell(p.Parameter, p.After, p.Comparison.NAfter)
		table.add(p.Parameter.Name, before, "→ "+after, p.ShiftText())
		if p.Thinned {
			dense = append(dense, p.Parameter.Name)
		}
	}
	table.print(a, "  ")
	if len(dense) > 0 {
		a.printf("  one reading a day is compared of what a probe wrote: %s", strings.Join(dense, ", "))
	}
	for i, p := range c.Parameters {
		if text := alerts.MoveText(p.Parameter, moves[i], c.Tank.Zone()); moves[i].Found {
			a.printf("  %s", text)
		}
	}
	if len(c.Parameters) == 0 {
		a.printf("  no readings in that time")
	}
	a.printf("done and seen in that time:")
	for _, e := range c.Done {
		a.printf("  %s  %s", whenText(e.When().In(c.Tank.Zone())), entryWhat(e))
	}
	if len(c.Done) == 0 {
		a.printf("  nothing was noted down")
	}
}

func sideCell(p logbook.Parameter, median float64, n int) string {
	if math.IsNaN(median) {
		return "no reading"
	}
	return fmt.Sprintf("%s (%d)", alerts.Quantity(p, median), n)
}

// changedJSON is a tank on both sides of a moment.
type changedJSON struct {
	Tank       string                `json:"tank"`
	Around     moment                `json:"around"`
	Days       number                `json:"days_each_side"`
	Parameters []parameterChangeJSON `json:"parameters"`
	Done       []doneJSON            `json:"done"`
}

type parameterChangeJSON struct {
	Parameter string `json:"parameter"`
	Unit      string `json:"unit"`
	Before    number `json:"median_before"`
	After     number `json:"median_after"`
	NBefore   int    `json:"n_before"`
	NAfter    int    `json:"n_after"`
	Thinned   bool   `json:"thinned"` // of a dense log one reading a day is compared
	Shift     number `json:"shift"`
	Lo        number `json:"lo"` // 80 % interval
	Hi        number `json:"hi"`
	P         number `json:"p"`
	MoveDay   moment `json:"move_date"` // null where no single move can be told
	MoveLo    moment `json:"move_date_lo"`
	MoveHi    moment `json:"move_date_hi"`
}

type doneJSON struct {
	Time moment `json:"time"`
	Kind string `json:"kind"`
	Text string `json:"text"`
}

func changedOf(c alerts.Changed, moves []trend.Move) changedJSON {
	out := changedJSON{Tank: c.Tank.Name, Around: moment(c.Around), Days: number(c.Days),
		Parameters: []parameterChangeJSON{}, Done: []doneJSON{}}
	zone := c.Tank.Zone()
	at := func(day float64) moment {
		if math.IsNaN(day) || math.IsInf(day, 0) {
			return moment{}
		}
		return moment(alerts.TimeOf(day, zone))
	}
	for i, p := range c.Parameters {
		k, m := p.Comparison, moves[i]
		out.Parameters = append(out.Parameters, parameterChangeJSON{
			Parameter: p.Parameter.Name, Unit: p.Parameter.Unit, Before: number(p.Before), After: number(p.After),
			NBefore: k.NBefore, NAfter: k.NAfter, Thinned: p.Thinned, Shift: number(k.Shift), Lo: number(k.Interval.Lo), Hi: number(k.Interval.Hi),
			P: number(k.P), MoveDay: at(m.Day), MoveLo: at(m.DayLo), MoveHi: at(m.DayHi),
		})
	}
	for _, e := range c.Done {
		out.Done = append(out.Done, doneJSON{moment(e.When()), string(e.Kind()), entryWhat(e)})
	}
	return out
}
