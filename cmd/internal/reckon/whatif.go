package reckon

import (
	"cmp"
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

type whatIfOptions struct {
	dosing, dose, waterChange, every, to string
	times                                int
	continuous                           bool
}

func newWhatIf(a *app.App) *cobra.Command {
	opt := whatIfOptions{times: 1}
	cmd := a.Command("what-if PARAMETER", whatIfJSON{}, func(args []string) error { return whatIf(a, args[0], opt) })
	f := cmd.Flags()
	f.StringVar(&opt.dosing, "dosing", "",
		"the whole `RISE` a day that dosing adds from now on, or mL of the supplement in use")
	f.StringVar(&opt.dose, "dose", "", "one `RISE` now, or mL of the supplement in use")
	f.StringVar(&opt.waterChange, "water-change", "",
		"`SHARE` of the water, and after a colon the level of the new water: 20%:8.3")
	f.IntVar(&opt.times, "times", 1, "so many water changes, the first now")
	f.StringVar(&opt.every, "every", "7d", "`TIME` between two water changes")
	f.BoolVar(&opt.continuous, "continuous", false,
		"the new water is pumped in while old water is drained, so that some of the new goes out again")
	f.StringVar(&opt.to, "to", "", "with --water-change: how many bring it to this `LEVEL`?")
	return cmd
}

// imagined is what might be done.
type imagined struct {
	inputs  []trend.Input
	words   []string
	supply  float64 // per day from now on
	changes alerts.ChangeSeries
	target  float64  // NaN: none asked about
	doubts  []string // why a rise may be a slip
}

func whatIf(a *app.App, parameter string, opt whatIfOptions) error {
	if opt.dosing == "" && opt.dose == "" && opt.waterChange == "" {
		return usage.Errorf("leadline what-if "+parameter+" --dosing 1",
			"what if what? pass --dosing, --dose or --water-change")
	}
	return a.ViewSubject(parameter, func(v *logbook.View, tank logbook.Tank, p logbook.Parameter, asOf time.Time) error {
		l, err1 := alerts.ExamineParameter(v, tank, p, asOf, 0)
		c, err2 := entry.Load(v, tank, asOf)
		d, err3 := alerts.DemandOf(v, tank, p, asOf)
		if err := cmp.Or(err1, err2, err3); err != nil {
			return err
		}
		if math.IsNaN(l.Assessment.Level) {
			return fmt.Errorf("the level of %s in %s cannot be told: it has %s", p.Name, tank.Name,
				words.Plural(l.Assessment.N, "reading", "readings"))
		}
		im, err := imagine(c, l, asOf, opt)
		if err != nil {
			return err
		}
		a.SayEach("warning: "+p.Name+": %s", im.doubts)
		return printWhatIf(a, l, l.WhatIf(asOf, im.inputs), d, im, asOf)
	})
}

func imagine(c entry.Context, l alerts.Finding, asOf time.Time, opt whatIfOptions) (im imagined, err error) {
	p, day := l.Parameter, alerts.Day(asOf)
	im.supply, im.target = l.Supply, math.NaN()
	if opt.dosing != "" {
		if im.supply, err = im.rise(c, l, true, opt.dosing); err != nil {
			return im, fmt.Errorf("--dosing: %w", err)
		}
		im.inputs = append(im.inputs, trend.Input{Day: day, Kind: trend.Dosing, Amount: im.supply})
		im.words = append(im.words, fmt.Sprintf("dosing of %s a day instead of %s", words.Rise(p, im.supply),
			words.Change(p, l.Supply, 0)))
	}
	if opt.dose != "" {
		rise, err := im.rise(c, l, false, opt.dose)
		if err != nil {
			return im, fmt.Errorf("--dose: %w", err)
		}
		im.inputs = append(im.inputs, trend.Input{Day: day, Kind: trend.Dose, Amount: rise})
		im.words = append(im.words, "a dose of "+words.Rise(p, rise)+" now")
	}
	if opt.waterChange == "" {
		if opt.to != "" {
			return im, usage.Errorf("pass --water-change 20%:LEVEL, or leadline plan --to",
				"--to asks how many water changes it takes, and none is told")
		}
		return im, nil
	}
	if im.changes, err = im.parseChanges(l, opt); err != nil {
		return im, err
	}
	for k := range im.changes.Times {
		im.inputs = append(im.inputs, trend.Input{Day: day + float64(k)*im.changes.EveryDays, Kind: trend.Change,
			Fraction: im.changes.Fraction, New: im.changes.New})
	}
	im.words = append(im.words, changesText(p, im.changes))
	if opt.to != "" {
		if math.IsNaN(im.changes.New) {
			return im, usage.Errorf("write --water-change 20%:LEVEL", "--to needs the level of the new water")
		}
		im.target, err = levelFlag(p, "--to", opt.to)
	}
	return im, err
}

// rise reads a rise, or a volume of the supplement in use, and gathers why it may be a slip.
func (im *imagined) rise(c entry.Context, l alerts.Finding, daily bool, text string) (float64, error) {
	rise, doubt, err := c.If(daily, l.Parameter, text, l.Supply)
	im.doubted(doubt)
	if err != nil {
		_, hint := usage.InWords(err)
		err = usage.Wrong(err, hint)
	}
	return rise, err
}

func (im *imagined) doubted(why string) {
	if why != "" {
		im.doubts = append(im.doubts, why)
	}
}

func (im *imagined) parseChanges(l alerts.Finding, opt whatIfOptions) (alerts.ChangeSeries, error) {
	const most = 52
	share, level, told := strings.Cut(opt.waterChange, ":")
	s := alerts.ChangeSeries{New: math.NaN(), Times: opt.times}
	var doubt string
	var err error
	if s.Fraction, doubt, err = app.ShareOf(share, l.Tank); err != nil {
		return s, err
	}
	im.doubted(doubt)
	if opt.continuous {
		s.Fraction = 1 - math.Exp(-s.Fraction) // of the old water, as it drains while new flows in, well mixed
	}
	if told {
		if s.New, doubt, err = entry.LevelIn(l.Parameter, level); err != nil {
			return s, usage.Wrong(fmt.Errorf("--water-change: %w", err), "write --water-change 20%:8.3")
		}
		im.doubted(doubt)
	}
	if s.Times < 1 || s.Times > most {
		return s, usage.Errorf(fmt.Sprintf("write a number from 1 to %d", most), "--times: %d water changes", s.Times)
	}
	s.EveryDays, err = app.ParseDays("--every", opt.every)
	return s, err
}

func changesText(p logbook.Parameter, s alerts.ChangeSeries) string {
	share := app.PlainNumber(math.Round(1000*s.Fraction) / 10)
	text := fmt.Sprintf("a water change of %s %% now", share)
	if s.Times > 1 {
		text = fmt.Sprintf("%d water changes of %s %%, one now and one %s", s.Times, share, words.Every(s.EveryDays))
	}
	if math.IsNaN(s.New) {
		return text + ", the new water's level not told"
	}
	return text + ", new water of " + words.Quantity(p, s.New)
}

func printWhatIf(a *app.App, l alerts.Finding, then trend.Assessment, d alerts.Demand, im imagined,
	asOf time.Time) error {
	p := l.Parameter
	var after []alerts.AfterChange
	if im.changes.Times > 0 && !math.IsNaN(im.changes.New) {
		after = im.changes.After(l, d, im.supply, asOf)
	}
	var count int
	var countErr error
	if !math.IsNaN(im.target) {
		count, countErr = im.changes.ToReach(l, d, im.supply, im.target)
	}
	if a.JSON {
		out := whatIfJSON{Tank: l.Tank.Name, Parameter: p.Name, Unit: p.Unit, AsOf: shape.Moment(asOf), If: im.words,
			Level: shape.Number(l.Assessment.Level), Demand: shape.Number(d.Estimate.PerDay), Supply: shape.Number(im.supply),
			AsItIs: prospectOf(l.Assessment), IfSo: prospectOf(then),
			After: words.Of(after, func(x alerts.AfterChange) afterChangeJSON {
				return afterChangeJSON{shape.Moment(x.Time), shape.Number(x.Level), shape.Number(x.Lo), shape.Number(x.Hi)}
			})}
		switch {
		case math.IsNaN(im.target):
		case countErr != nil:
			out.Why = countErr.Error()
		default:
			out.Changes = &count
		}
		return a.PrintJSON(out)
	}
	a.PrintAs(words.Head, "%s of %s as of %s, if: %s", p.Name, words.OneLine(l.Tank.Name), words.Moment(asOf),
		strings.Join(im.words, "; "))
	var c words.Table
	c.AddAs(words.Head, "", "as it is", "if so")
	for _, days := range []float64{7, 14, 28} {
		c.Add(fmt.Sprintf("in %.0f days", days), forecastText(p, l.Assessment, days), forecastText(p, then, days))
	}
	if !math.IsNaN(l.Assessment.Floor) {
		for _, days := range []float64{28, 42} {
			asItIs, already := l.FloorChance(l.Assessment, days)
			ifSo, _ := l.FloorChance(then, days)
			when := "below the floor within %.0f days"
			if already {
				when = "below the floor, as now, in %.0f days"
			}
			c.Add(fmt.Sprintf(when, days), asItIs, ifSo)
		}
	}
	a.Table(c, "  ")
	if len(after) > 0 {
		a.Printf("  just after each water change, dosing and demand going on (80 %% intervals):")
		var c words.Table
		for _, x := range after {
			c.Add(words.Weekday(x.Time), words.QuantityRange(p, x.Level, x.Lo, x.Hi))
		}
		a.Table(c, "    ")
		if math.IsNaN(d.Estimate.PerDay) {
			a.Printf("  the demand cannot be told yet: counted as zero")
		}
	}
	switch {
	case math.IsNaN(im.target):
	case countErr != nil:
		a.Printf("  %s", countErr)
	default:
		a.Printf("  to %s: %s", words.Quantity(p, im.target),
			words.Plural(count, "such water change", "such water changes"))
	}
	return nil
}

func forecastText(p logbook.Parameter, as trend.Assessment, days float64) string {
	if f, ok := alerts.ForecastIn(as, days); ok && !math.IsNaN(f.Mean) {
		return words.QuantityRange(p, f.Mean, f.Lo, f.Hi)
	}
	return "unknown"
}

// whatIfJSON sets the forecast as it is beside that under what was imagined.
type whatIfJSON struct {
	Tank      string            `json:"tank"`
	Parameter string            `json:"parameter"`
	Unit      string            `json:"unit"`
	AsOf      shape.Moment      `json:"as_of"`
	If        []string          `json:"if"`
	Level     shape.Number      `json:"level"`
	Demand    shape.Number      `json:"demand_per_day"`
	Supply    shape.Number      `json:"supply_per_day"` // imagined
	AsItIs    prospectJSON      `json:"as_it_is"`
	IfSo      prospectJSON      `json:"if_so"`
	After     []afterChangeJSON `json:"after_changes"`
	Changes   *int              `json:"changes_to_target"` // null where not asked about, or never
	Why       string            `json:"target_refused,omitempty"`
}

// prospectJSON is a forecast with the chances of the floor.
type prospectJSON struct {
	Forecast []shape.Forecast `json:"forecast"`
	PFloor14 shape.Number     `json:"p_floor_14d"`
	PFloor28 shape.Number     `json:"p_floor_28d"`
	PFloor42 shape.Number     `json:"p_floor_42d"`
}

type afterChangeJSON struct {
	Time  shape.Moment `json:"time"`
	Level shape.Number `json:"level"`
	Lo    shape.Number `json:"lo"`
	Hi    shape.Number `json:"hi"`
}

func prospectOf(as trend.Assessment) prospectJSON {
	return prospectJSON{shape.ForecastOf(as), shape.Number(as.PFloor14), shape.Number(as.PFloor28),
		shape.Number(as.PFloor42)}
}
