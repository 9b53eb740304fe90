package setup

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func newTankRename(a *app.App) *cobra.Command {
	return a.PrintsRecords(usage.Command("rename OLD NEW", "give a tank another name; the old one still means it", `  # the name on the frame
  leadline tank rename reef2 lagoon`, func(args []string) error {
		tank, err := app.Seen(a, func(v *logbook.View) (logbook.Tank, error) { return a.TankNamed(v, args[0]) })
		if err == nil {
			tank, err = a.Opened.RenameTank(tank.Name, args[1], a.Now())
		}
		if errors.Is(err, logbook.ErrExists) {
			err = usage.WithHint(err, fmt.Sprintf("leadline tank merge %q %q makes one tank of two", args[0], args[1]))
		}
		return printTank(a, tank, err)
	}))
}

func newTankUse(a *app.App, use, short, example string, inUse bool) *cobra.Command {
	return a.PrintsRecords(usage.Command(use, short, example, func(args []string) error {
		tank, err := changeTank(a, args, func(t *logbook.Tank, _ *logbook.View) error {
			t.SetUse(inUse, a.Now())
			return nil
		})
		return printTank(a, tank, err)
	}))
}

func newTankMerge(a *app.App) *cobra.Command {
	var yes bool
	cmd := a.PrintsRecords(&cobra.Command{
		Use:   "merge FROM INTO",
		Short: "make one tank of two, such as one that was spelled in two ways",
		Long: `Make one tank of two: all that was noted of the first becomes the second's, which keeps its name; both names mean it from
then on. Entries keep their ids. What both tell differently of themselves, such as a volume, is settled as leadline merge does
with two books, and named. It cannot be undone, so it asks first, and leaves a copy of the book as it was beside it.`,
		Example: `  # an import spelled it differently
  leadline tank merge 'fore reef' forereef`,
		RunE: func(_ *cobra.Command, args []string) error { return mergeTanks(a, args[0], args[1], yes) },
	})
	cmd.Flags().BoolVarP(&yes, "yes", "y", false, "do not ask")
	return cmd
}

func mergeTanks(a *app.App, from, into string, yes bool) error {
	var two [2]logbook.Tank
	n := 0
	err := a.View(func(v *logbook.View) (err error) {
		for i, name := range []string{from, into} {
			if two[i], err = a.TankNamed(v, name); err != nil {
				return err
			}
		}
		n, err = v.CountOf(two[0].Name)
		return err
	})
	if err != nil {
		return err
	}
	entries := words.Plural(n, "entry", "entries")
	if two[0].Name != two[1].Name && !yes {
		question := fmt.Sprintf("%s of %s would be of %s, for good: do it?", entries, two[0].Name, two[1].Name)
		if err := a.MustAgree(question, "pass --yes"); err != nil {
			return err
		}
	}
	copied, err := a.Opened.BackupBeside("merge")
	if err != nil {
		return err
	}
	tank, differ, err := a.Opened.MergeTanks(two[0].Name, two[1].Name, a.Now())
	if err != nil {
		return err
	}
	for _, d := range differ {
		a.Say("note: %s differs: %s and %s; taken: %s", words.OneLine(d.What), words.OneLine(d.Ours), words.OneLine(d.Theirs), words.OneLine(d.Taken))
	}
	a.Say("note: %s of %s are of %s now; the book as it was: %s", entries, two[0].Name, tank.Name, copied)
	return printTanks(a, []logbook.Tank{tank})
}
