package note

import (
	"errors"

	"github.com/spf13/cobra"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// shownUndone is how many lines are shown before they are taken back.
const shownUndone = 12

func newUndo(a *app.App) *cobra.Command {
	var yes bool
	cmd := a.Prints(undoJSON{}, usage.Command("undo",
		"take back what the last command or save noted, and again what the one before it did", `  # shows it, and asks
  leadline undo

  # for a script
  leadline undo --yes`, func([]string) error { return undo(a, yes) }))
	cmd.Long = `Take back what was noted last, as one: what a command or a save on a screen noted is struck, with the reason "undone", and what
it struck counts again. Nothing is erased. Run again, it goes one step further back. What is defined (tanks, bands, methods, …)
is changed by its own command and not undone; leadline strike --back brings back what was undone.`
	cmd.Flags().BoolVarP(&yes, "yes", "y", false, "take it back without asking")
	return cmd
}

func undo(a *app.App, yes bool) error {
	var save logbook.Save
	var passed string
	var lines []string
	err := a.View(func(v *logbook.View) (err error) {
		if save, passed, err = entry.LastSave(v); err == nil {
			_, lines, err = entry.Saved(v, save)
		}
		return err
	})
	switch {
	case passed != "" && errors.Is(err, entry.ErrNothingToUndo):
		return errors.New(passed)
	case passed != "" && yes:
		return usage.WithHint(errors.New(passed), "leadline undo without --yes asks about what was noted before that")
	case err != nil:
		return err
	case passed != "":
		a.Say("%s; before that something was noted:", passed)
	}
	if !a.JSON {
		a.Each("%s", lines[:min(len(lines), shownUndone)])
		if more := len(lines) - shownUndone; more > 0 {
			a.Printf("and %s", words.Plural(more, "more line", "more lines"))
		}
	}
	if !yes && !a.Agrees("take this back?") {
		if a.HasTerminal() {
			a.Say("nothing was changed")
			return nil
		}
		return usage.Errorf("leadline undo --yes takes it back", "nothing was changed, for nobody is there to be asked")
	}
	u, err := a.Opened.Undo(save.Number, meant{}.strike(a))
	if err != nil {
		return err
	}
	text := func(e logbook.Entry) string { return e.EntryID().String() }
	return a.Answer(undoJSON{words.Of(u.Struck, text), words.Of(u.Back, text), u.Left}, func() { a.Printf("taken back: %s", words.Undone(u)) })
}

// undoJSON names what was struck, the struck entries that stand again, and how many lines were changed since and left alone.
type undoJSON struct {
	Struck []string `json:"struck"`
	Back   []string `json:"back"`
	Left   int      `json:"left"`
}
