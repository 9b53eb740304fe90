package look

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/trend"
)

func newChanged(a *app.App) *cobra.Command {
	var around, within string
	cmd := a.Command("changed", changedJSON{}, func([]string) error { return changed(a, around, within) })
	f := cmd.Flags()
	f.StringVar(&around, "around", "", "the `TIME` that is asked about; a date alone means noon in the tank's zone")
	f.StringVar(&within, "within", "4w", "`LENGTH` looked at on each side: 28d, 4w")
	return cmd
}

func changed(a *app.App, when, within string) error {
	if when == "" {
		return usage.Errorf("leadline changed --around 2026-04-15", "around when? --around is missing")
	}
	days, err := app.ParseDays("--within", within)
	if err != nil {
		return err
	}
	return a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
		around, err := a.ReadMoment(entry.When, "--around", when, tank.Zone())
		if err != nil {
			return err
		}
		c, err := alerts.WhatChanged(v, tank.Name, around, days)
		if err != nil {
			return err
		}
		return a.Answer(changedOf(c), func() { printChanged(a, c) })
	})
}

func printChanged(a *app.App, c alerts.Changed) {
	a.PrintAs(words.Head, "%s, %.0f days before and after %s", words.OneLine(c.Tank.Name), c.Days, words.Moment(c.Around))
	a.Each("  %s", breaksOf(c))
	table := words.Table{Ranks: []int{0, 1}}
	var dense []string
	if len(c.Parameters) > 0 {
		table.AddAs(words.Head, "", "median earlier", "before (readings)", "after", "shift: the median of all differences")
	}
	for _, p := range c.Parameters {
		before, after := sideCell(p.Parameter, p.Before, p.Comparison.NBefore),
			sideCell(p.Parameter, p.After, p.Comparison.NAfter)
		earlier := "no reading"
		if !math.IsNaN(p.Earlier) {
			earlier = words.Number(p.Parameter, p.Earlier)
		}
		table.Add(p.Parameter.Name, earlier, before, "→ "+after, p.ShiftText())
		if p.Thinned {
			dense = append(dense, p.Parameter.Name)
		}
	}
	a.Table(table, "  ")
	if len(dense) > 0 {
		a.Printf("  one reading a day is compared of what a probe wrote: %s", strings.Join(dense, ", "))
	}
	if len(c.Parameters) == 0 {
		a.Printf("  no readings in that time")
	}
	a.Printf("done and seen in that time:")
	for _, e := range c.Done {
		a.Printf("  %s  %s", words.Moment(e.When().In(c.Tank.Zone())), c.Known.Entry(e))
	}
	if len(c.Done) == 0 {
		a.Printf("  nothing was noted down")
	}
}

func sideCell(p logbook.Parameter, median float64, n int) string {
	if math.IsNaN(median) {
		return "no reading"
	}
	return fmt.Sprintf("%s (%d)", words.Quantity(p, median), n)
}

// changedJSON is a tank on both sides of a moment.
type changedJSON struct {
	Tank       string                `json:"tank"`
	Around     shape.Moment          `json:"around"`
	Days       shape.Number          `json:"days_each_side"`
	Parameters []parameterChangeJSON `json:"parameters"`
	Breaks     []string              `json:"breaks"` // where a level left what it had been, in words
	Done       []doneJSON            `json:"done"`
}

type parameterChangeJSON struct {
	Parameter string       `json:"parameter"`
	Unit      string       `json:"unit"`
	Earlier   shape.Number `json:"median_earlier"` // of three times as long before that
	Before    shape.Number `json:"median_before"`
	After     shape.Number `json:"median_after"`
	NBefore   int          `json:"n_before"`
	NAfter    int          `json:"n_after"`
	Thinned   bool         `json:"thinned"` // of a dense log one reading a day is compared
	Shift     shape.Number `json:"shift"`
	Lo        shape.Number `json:"lo"` // 80 % interval
	Hi        shape.Number `json:"hi"`
	P         shape.Number `json:"p"`
	MoveDay   shape.Moment `json:"move_date"` // null where no single move can be told
	MoveLo    shape.Moment `json:"move_date_lo"`
	MoveHi    shape.Moment `json:"move_date_hi"`
}

// doneJSON is something that was done or seen.
type doneJSON struct {
	ID   string       `json:"id"`
	Time shape.Moment `json:"time"`
	Kind string       `json:"kind"`
	Text string       `json:"text"`
}

func doneOf(done []logbook.Entry, k words.Known) []doneJSON {
	return words.Of(done, func(e logbook.Entry) doneJSON {
		return doneJSON{e.EntryID().String(), shape.Moment(e.When()), string(e.Kind()), k.Entry(e)}
	})
}

func breaksOf(c alerts.Changed) []string {
	return words.Of(c.Breaks, func(b alerts.Break) string { return b.Text(c.Known) })
}

func changedOf(c alerts.Changed) changedJSON {
	out := changedJSON{Tank: c.Tank.Name, Around: shape.Moment(c.Around), Days: shape.Number(c.Days),
		Parameters: []parameterChangeJSON{}, Breaks: breaksOf(c), Done: doneOf(c.Done, c.Known)}
	zone := c.Tank.Zone()
	at := func(day float64) shape.Moment { return shape.DayOf(day, zone) }
	for _, p := range c.Parameters {
		k, m := p.Comparison, p.Move
		out.Parameters = append(out.Parameters, parameterChangeJSON{
			Parameter: p.Parameter.Name, Unit: p.Parameter.Unit, Earlier: shape.Number(p.Earlier),
			Before: shape.Number(p.Before), After: shape.Number(p.After), NBefore: k.NBefore, NAfter: k.NAfter,
			Thinned: p.Thinned, Shift: shape.Number(k.Shift), Lo: shape.Number(k.Interval.Lo), Hi: shape.Number(k.Interval.Hi),
			P: shape.Number(k.P), MoveDay: at(m.Day), MoveLo: at(m.DayLo), MoveHi: at(m.DayHi),
		})
	}
	return out
}

func newCompare(a *app.App) *cobra.Command {
	var who []string
	cmd := a.Command("compare PARAMETER", []readersJSON{}, func(args []string) error { return compare(a, args[0], who) })
	cmd.Flags().StringSliceVar(&who, "who", nil, "the two `NAMES`: ann,ben")
	return cmd
}

func compare(a *app.App, parameter string, who []string) error {
	if len(who) != 2 {
		return usage.Errorf("--who ann,ben", "which two? --who names them")
	}
	return a.ViewSubject(parameter, func(v *logbook.View, tank logbook.Tank, p logbook.Parameter, asOf time.Time) error {
		all, err := alerts.CompareReaders(v, tank, p, who[0], who[1], asOf)
		if err != nil {
			return err
		}
		out := []readersJSON{}
		var c words.Table
		for _, r := range all {
			out = append(out, readersJSON{tank.Name, r.Parameter.Name, r.Parameter.Unit, r.Method, r.A, r.B, r.N,
				shape.Number(r.Shift), shape.Number(r.Interval.Lo), shape.Number(r.Interval.Hi), r.Few})
			c.Add(words.OneLine(r.Method), words.OneLine(r.Text()))
		}
		if len(all) == 0 && !a.JSON {
			a.Printf("not yet clear: %s and %s have no readings of %s by one method; it takes %d pairs within a day",
				words.OneLine(who[0]), words.OneLine(who[1]), words.OneLine(parameter), trend.LeastPairs)
			return nil
		}
		return a.PrintList(out, c)
	})
}

// readersJSON is by how much who reads above other; null where there is no number. The range is the one of 80 %.
type readersJSON struct {
	Tank      string       `json:"tank"`
	Parameter string       `json:"parameter"`
	Unit      string       `json:"unit"`
	Method    string       `json:"method"`
	Who       string       `json:"who"`
	Other     string       `json:"other"`
	Pairs     int          `json:"pairs"`
	Shift     shape.Number `json:"shift"`
	Lo        shape.Number `json:"lo"`
	Hi        shape.Number `json:"hi"`
	Few       bool         `json:"few"` // nothing is told by so few pairs
}
