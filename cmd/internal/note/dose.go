package note

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

type doseOptions struct {
	unit, supplement string
	millilitres      float64
	byVolume, yes    bool
	said
}

func newDose(a *app.App) *cobra.Command {
	return newAddition(a, false, "dose PARAMETER=RISE...", "ml", "`MILLILITRES` of the supplement, instead of the rise")
}

func newDosing(a *app.App) *cobra.Command {
	return newAddition(a, true, "dosing PARAMETER=RISE_PER_DAY...", "ml-per-day",
		"`MILLILITRES` of the supplement a day, instead of the rise")
}

// newAddition is the command of a dose or of a dosing; volume is its flag that gives a volume in place of the rise.
func newAddition(a *app.App, daily bool, use, volume, meaning string) *cobra.Command {
	var opt doseOptions
	cmd := a.CommandOf(use, shape.Records{}, func(cmd *cobra.Command, args []string) error {
		opt.byVolume, opt.later = cmd.Flags().Changed(volume), daily
		return additions(a, cmd, args, opt, daily)
	})
	cmd.Args = cobra.ArbitraryArgs
	f := cmd.Flags()
	f.Float64Var(&opt.millilitres, volume, 0, meaning)
	f.StringVar(&opt.unit, "unit", "", "`UNIT` of the rise (else the one it is shown in)")
	f.StringVar(&opt.supplement, "supplement", "", "`NAME` of what was added")
	opt.flags(f)
	f.BoolVarP(&opt.yes, "yes", "y", false, "the amount is meant: no warning about a large one")
	return cmd
}

// amounts are what a command line adds: parameters with their rises, or a volume, which has no parameter.
func (opt doseOptions) amounts(cmd *cobra.Command, args []string) ([]app.Assignment, error) {
	if !opt.byVolume {
		if len(args) == 0 {
			return nil, usage.Errorf(cmd.CommandPath()+" --help shows examples",
				"%s needs a parameter with its rise, or a volume of a supplement", cmd.CommandPath())
		}
		return app.ParseAssignments(args)
	}
	switch {
	case len(args) > 0:
		return nil, usage.Errorf("leave "+args[0]+" out, or the volume", "give the rise or the volume, not both")
	case opt.unit != "":
		return nil, usage.Errorf("leave --unit out", "--unit is of a rise, and a volume is given")
	case opt.supplement == "":
		return nil, usage.Errorf("leadline supplement list shows those described",
			"millilitres of what? --supplement is missing")
	}
	return []app.Assignment{{Text: fmt.Sprintf("%g mL", opt.millilitres)}}, nil
}

// additions notes down one entry for every "parameter=amount", or for everything that a volume of a supplement raises.
func additions(a *app.App, cmd *cobra.Command, args []string, opt doseOptions, daily bool) error {
	amounts, err := opt.amounts(cmd, args)
	if err != nil {
		return err
	}
	var takes, about []string
	err = noteDown(a, opt.said, func(v *logbook.View, tank logbook.Tank, when time.Time) (entries []logbook.Entry,
		err error) {
		c, err := entry.Load(v, tank, when)
		if err != nil {
			return nil, err
		}
		add := entry.Addition{Daily: daily, Time: when, Supplement: opt.supplement, Note: opt.note}
		for _, as := range amounts {
			rises, err := risesOf(a, v, c, add, as, opt.unit)
			if err != nil {
				return nil, err
			}
			entries = append(entries, c.Entries(add, as.Text, rises)...)
			if text := c.Takes(rises[0], opt.supplement); text != "" && len(rises) == 1 && as.Parameter != "" {
				takes = append(takes, rises[0].Parameter.Name+" takes "+text)
			}
			about = append(about, behind("caution: ", water.Briefs(c.BewareDose(opt.supplement, rises)))...)
		}
		if near := usage.NearDescribed(opt.supplement,
			words.Of(c.Supplements, func(s logbook.Supplement) string { return s.Name })); near != "" {
			about = append(about, fmt.Sprintf("note: the supplement %s is not described; did you mean %s?", opt.supplement,
				near))
		}
		doubts, err := entry.DoubtRises(v, entries)
		if !opt.yes {
			about = append(about, behind("warning: ", doubts)...)
		}
		return entries, err
	})
	if err != nil {
		return err
	}
	slices.Sort(about)
	a.SayEach("%s", slices.Compact(about))
	if !a.JSON {
		a.Each("%s", takes)
	}
	return nil
}

// behind puts texts behind a word.
func behind(word string, texts []string) []string {
	return words.Of(texts, func(text string) string { return word + text })
}

// risesOf reads the amount of an assignment, whose parameter is empty for a volume.
func risesOf(a *app.App, v *logbook.View, c entry.Context, add entry.Addition, as app.Assignment,
	unit string) ([]entry.Rise, error) {
	if as.Parameter == "" {
		if _, err := a.Supplement(v, add.Supplement); err != nil {
			return nil, err
		}
		return c.Read(add, nil, as.Text, "")
	}
	p, err := a.Parameter(v, as.Parameter)
	if err != nil {
		return nil, err
	}
	if err := app.Readable(p, as, unit); err != nil {
		return nil, err
	}
	return c.Read(add, &p, as.Text, unit)
}

func newWaterChange(a *app.App) *cobra.Command {
	var opt said
	var levels []string
	cmd := a.Command("water-change SHARE", shape.Records{}, func(args []string) error {
		return waterChange(a, args[0], levels, opt)
	})
	f := cmd.Flags()
	f.StringArrayVar(&levels, "new", nil, "a level of the new water, `PARAMETER=VALUE`; may be given again")
	opt.flags(f)
	return cmd
}

func waterChange(a *app.App, share string, assigned []string, opt said) error {
	levels, err := app.ParseAssignments(assigned)
	if err != nil {
		return err
	}
	var water string
	err = noteDown(a, opt, func(v *logbook.View, tank logbook.Tank, when time.Time) ([]logbook.Entry, error) {
		fraction, doubt, err := app.ShareOf(share, tank)
		if err != nil {
			return nil, err
		}
		a.Warn(doubt)
		w := logbook.WaterChange{Time: when, Tank: tank.Name, Fraction: fraction, New: map[string]logbook.Amount{},
			Note: opt.note}
		for _, as := range levels {
			p, err := a.Parameter(v, as.Parameter)
			if err != nil {
				return nil, err
			}
			if err := app.Readable(p, as, ""); err != nil {
				return nil, err
			}
			why := ""
			if w.New[p.Name], why, err = entry.Level(p, as.Text); err != nil {
				return nil, err
			}
			a.Warn(why)
		}
		water = newWaterText(w)
		return []logbook.Entry{w}, nil
	})
	if err == nil && !a.JSON {
		a.Printf("%s", water)
	}
	return err
}

// newWaterText says what the new water is taken to be, which decides what the change does to each level.
func newWaterText(w logbook.WaterChange) string {
	if len(w.New) == 0 {
		return "the new water has no levels (--new PARAMETER=VALUE): it counts as like the tank's own"
	}
	var told []string
	for name, am := range w.New {
		told = append(told, strings.TrimSpace(fmt.Sprintf("%s %g %s", words.OneLine(name), am.Value, words.OneLine(am.Unit))))
	}
	slices.Sort(told)
	return "new water: " + strings.Join(told, ", ")
}
