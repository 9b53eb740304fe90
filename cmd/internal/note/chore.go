package note

import (
	"slices"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func newChore(a *app.App) *cobra.Command {
	return usage.Group("chore", "jobs that come round again", newChoreAdd(a), newChoreDone(a),
		a.Prints([]shape.Chore{}, usage.Command("list",
			"the chores, when each was last done and when it comes round again", "", func([]string) error {
				return listChores(a, "")
			})))
}

func newChoreAdd(a *app.App) *cobra.Command {
	var c logbook.Chore
	cmd := a.Prints([]shape.Chore{}, usage.Command("add NAME",
		"set up a chore, or change how often it comes round", `  # every six weeks
  leadline chore add "reactor media" --every 6w`, func(args []string) error {
			c.Name = args[0]
			return addChore(a, c)
		}))
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
	cmd := a.PrintsRecords(usage.Command("done NAME", "note down that a chore was done", `  # now
  leadline chore done "reactor media" --note "half of it"`, func(args []string) error {
		return choreDone(a, args[0], opt)
	}))
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
