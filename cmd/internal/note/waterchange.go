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
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func newWaterChange(a *app.App) *cobra.Command {
	var opt said
	var levels []string
	cmd := a.PrintsRecords(usage.Command("water-change SHARE",
		"note down a water change, in percent of the water or in litres", `  # 15 % of the water, whose alkalinity was tested
  leadline water-change 15% --new alk=8.3

  # 60 litres, yesterday at noon
  leadline water-change 60L --at 2026-03-07`, func(args []string) error {
			return waterChange(a, args[0], levels, opt)
		}))
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
