package main

import (
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/logbook"
)

type choreOptions struct{ every, at, note string }

func newChore(a *app) *cobra.Command {
	return group("chore", "jobs that come round again", newChoreAdd(a), newChoreDone(a), newChoreList(a))
}

func newChoreAdd(a *app) *cobra.Command {
	var opt choreOptions
	cmd := a.prints([]choreJSON{}, &cobra.Command{
		Use:   "add NAME",
		Short: "set up a chore, or change how often it comes round",
		Example: `  # every six weeks
  leadline chore add "reactor media" --every 6w`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.addChore(args[0], opt) },
	})
	cmd.Flags().StringVar(&opt.every, "every", "", "`TIME` between two: 42d, 6w (else learned from when it was done)")
	return cmd
}

func (a *app) addChore(name string, opt choreOptions) error {
	c := logbook.Chore{Name: name}
	if opt.every != "" {
		days, err := parseDays("--every", opt.every)
		if err != nil {
			return err
		}
		c.EveryDays = days
	}
	book, err := a.book()
	if err != nil {
		return err
	}
	err = book.View(func(v *logbook.View) error {
		tank, err := a.tank(v)
		c.Tank = tank.Name
		return err
	})
	if err != nil {
		return err
	}
	if _, err := book.Append(c); err != nil {
		return err
	}
	a.tankFlag = c.Tank
	return a.listChores(c.Name)
}

func newChoreDone(a *app) *cobra.Command {
	var opt choreOptions
	cmd := a.printsRecords(&cobra.Command{
		Use:   "done NAME",
		Short: "note down that a chore was done",
		Example: `  # now
  leadline chore done "reactor media" --note "half of it"`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.choreDone(args[0], opt) },
	})
	cmd.Flags().StringVar(&opt.at, "at", "", "`TIME` (else now); a date alone means noon in the tank's zone")
	cmd.Flags().StringVar(&opt.note, "note", "", "a `TEXT` to remember")
	return cmd
}

func (a *app) choreDone(name string, opt choreOptions) error {
	return a.noteDown(opt.at, func(v *logbook.View, tank logbook.Tank, when time.Time) ([]logbook.Entry, error) {
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
		return nil, usagef(didYouMean(name, known, hint), "%s has no chore %q", tank.Name, name)
	})
}

func newChoreList(a *app) *cobra.Command {
	return a.prints([]choreJSON{}, &cobra.Command{
		Use:   "list",
		Short: "the chores, when each was last done and when it comes round again",
		Args:  cobra.NoArgs,
		RunE:  func(*cobra.Command, []string) error { return a.listChores("") },
	})
}

// listChores prints the chores of the tanks that are meant, or the one of a name.
func (a *app) listChores(name string) error {
	reports, err := a.reports()
	if err != nil {
		return err
	}
	list := []choreJSON{}
	var c columns
	for _, r := range reports {
		for _, ch := range r.Chores {
			if name != "" && ch.Name != name {
				continue
			}
			list = append(list, choreOf(ch))
			next := ""
			if text := ch.DueText(); text != "" {
				next = "next " + text
			}
			c.add(ch.Tank, choreText(ch.Chore), lastText(ch), next)
		}
	}
	if a.json {
		return a.printJSON(list)
	}
	c.print(a, "")
	return nil
}

// lastText says when a chore was last done, and how often, where that was learned.
func lastText(c alerts.Chore) string {
	if c.Due.IsZero() || c.Learned {
		return c.Text()
	}
	return "last done on " + dayText(c.Last)
}

func choreText(c logbook.Chore) string {
	if c.EveryDays == 0 {
		return c.Name
	}
	return c.Name + " every " + daysWord(c.EveryDays)
}

// choreJSON is a chore with the time it was last done and comes round again.
type choreJSON struct {
	Tank      string `json:"tank"`
	Chore     string `json:"chore"`
	EveryDays number `json:"every_days"` // as given; 0: learned from when it was done
	LastDone  moment `json:"last_done"`
	Times     int    `json:"times"`    // how often it was done, of late
	Interval  number `json:"interval"` // days, as given or learned
	Learned   bool   `json:"learned"`
	Due       moment `json:"due"`
	DueLo     moment `json:"due_lo"`       // of a learned interval: due_lo to due_hi ...
	DueHi     moment `json:"due_hi"`       //
	Coverage  number `json:"due_coverage"` // ... with this chance
	Why       string `json:"why"`          // why there is no due; "" if there is
}

func choreOf(c alerts.Chore) choreJSON {
	return choreJSON{Tank: c.Tank, Chore: c.Name, EveryDays: number(c.EveryDays), LastDone: moment(c.Last), Times: c.Times,
		Interval: number(c.Interval), Learned: c.Learned, Due: moment(c.Due), DueLo: moment(c.DueLo), DueHi: moment(c.DueHi),
		Coverage: number(c.Coverage), Why: c.Why}
}
