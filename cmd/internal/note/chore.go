package note

import (
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

type choreOptions struct{ every, at, note string }

func newChore(a *app.App) *cobra.Command {
	return usage.Group("chore", "jobs that come round again", newChoreAdd(a), newChoreDone(a), newChoreList(a))
}

func newChoreAdd(a *app.App) *cobra.Command {
	var opt choreOptions
	cmd := a.Prints([]shape.Chore{}, usage.Command("add NAME",
		"set up a chore, or change how often it comes round", `  # every six weeks
  leadline chore add "reactor media" --every 6w`, func(args []string) error { return addChore(a, args[0], opt) }))
	cmd.Flags().StringVar(&opt.every, "every", "", "`TIME` between two: 42d, 6w (else learned from when it was done)")
	return cmd
}

func addChore(a *app.App, name string, opt choreOptions) error {
	c := logbook.Chore{Name: name}
	if opt.every != "" {
		days, err := app.ParseDays("--every", opt.every)
		if err != nil {
			return err
		}
		c.EveryDays = days
	}
	book, err := a.Book()
	if err != nil {
		return err
	}
	err = book.View(func(v *logbook.View) error {
		tank, err := a.Tank(v)
		c.Tank = tank.Name
		return err
	})
	if err != nil {
		return err
	}
	if _, err := book.Append(c); err != nil {
		return err
	}
	a.TankFlag = c.Tank
	return listChores(a, c.Name)
}

func newChoreDone(a *app.App) *cobra.Command {
	var opt choreOptions
	cmd := a.PrintsRecords(usage.Command("done NAME", "note down that a chore was done", `  # now
  leadline chore done "reactor media" --note "half of it"`, func(args []string) error { return choreDone(a, args[0], opt) }))
	cmd.Flags().StringVar(&opt.at, "at", "", "`TIME` (else now); a date alone means noon in the tank's zone")
	cmd.Flags().StringVar(&opt.note, "note", "", "a `TEXT` to remember")
	return cmd
}

func choreDone(a *app.App, name string, opt choreOptions) error {
	return noteDown(a, opt.at, func(v *logbook.View, tank logbook.Tank, when time.Time) ([]logbook.Entry, error) {
		chores, err := v.Chores(tank.Name)
		if err != nil {
			return nil, err
		}
		var known []string
		for _, c := range chores {
			if c.Name == name {
				return []logbook.Entry{logbook.ChoreDone{Time: when, Tank: tank.Name, Chore: name, Note: opt.note}}, nil
			}
			known = append(known, c.Name)
		}
		hint := "leadline chore add sets one up"
		if len(known) > 0 {
			hint = "it has " + strings.Join(known, ", ") + "; " + hint
		}
		return nil, usage.Errorf(usage.DidYouMean(name, known, hint), "%s has no chore %q", tank.Name, name)
	})
}

func newChoreList(a *app.App) *cobra.Command {
	return a.Prints([]shape.Chore{}, usage.Command("list",
		"the chores, when each was last done and when it comes round again", "", func([]string) error { return listChores(a, "") }))
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
			next := ""
			if text := ch.DueText(); text != "" {
				next = "next " + text
			}
			c.Add(ch.Tank, app.ChoreText(ch.Chore), lastText(ch), next)
		}
	}
	if a.Json {
		return a.PrintJSON(list)
	}
	a.Table(c, "")
	return nil
}

// lastText says when a chore was last done, and how often, where that was learned.
func lastText(c alerts.Chore) string {
	if c.Due.IsZero() || c.Learned {
		return c.Text()
	}
	return "last done on " + words.Day(c.Last)
}
