package note

import (
	"errors"
	"slices"

	"github.com/spf13/cobra"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// meant are the entries that a command is to put right.
type meant struct {
	last, day, struck bool
	why, who          string
}

func (m *meant) flags(cmd *cobra.Command, why, meaning string) {
	f := cmd.Flags()
	f.StringVar(&m.why, "why", why, "the `REASON`; it stays with the struck line")
	f.BoolVar(&m.last, "last", false, meaning+" what was noted last; the same as last in the place of the id")
	f.BoolVar(&m.day, "day", false, meaning+" the whole test day: all readings of the same tank and moment")
}

// args are as those of the usage line say, but --last stands for them.
func (m *meant) args(_ *cobra.Command, args []string) error {
	if len(args) == 0 && !m.last {
		return errors.New("no entry is named")
	}
	return nil
}

// find finds the entries, of the tank that --tank names where it is given.
func (m meant) find(a *app.App, v *logbook.View, typed []string) ([]logbook.Entry, error) {
	if err := a.DoubtClock(v); err != nil {
		return nil, err
	}
	if m.last {
		typed = append([]string{"last"}, typed...)
	}
	var tank logbook.Tank
	if a.TankFlag != "" {
		var err error
		if tank, err = a.TankNamed(v, a.TankFlag); err != nil {
			return nil, err
		}
	}
	es, err := entry.Choose(v, typed, tank.Name, m.struck)
	if errors.Is(err, logbook.ErrNotFound) {
		return nil, usage.WithHint(err, entry.HintIDs)
	}
	if err != nil || !m.day {
		return es, usage.Mistyped(err)
	}
	es, err = entry.WithTheirDay(v, es)
	return es, usage.Mistyped(err)
}

func (m meant) strike(a *app.App) logbook.Strike {
	who, _ := a.Who(m.who) // a fault in the settings is no reason to leave a wrong line standing
	return logbook.Strike{Time: a.Now().UTC(), Why: m.why, Who: who}
}

func newStrike(a *app.App) *cobra.Command {
	var opt meant
	var replace string
	cmd := a.Command("strike ID...", strikeJSON{}, func(args []string) error { return strike(a, args, opt, replace) })
	cmd.Args = opt.args
	opt.flags(cmd, "", "strike")
	cmd.Flags().StringVar(&opt.who, "who", "", "`NAME` of the person (else that of your settings)")
	f := cmd.Flags()
	f.StringVar(&replace, "replace", "", "the `VALUE` that stands in the place of a struck reading")
	f.BoolVar(&opt.struck, "back", false, "bring struck entries back; last is the one that was struck last")
	return cmd
}

func strike(a *app.App, typed []string, opt meant, replace string) error {
	if opt.struck {
		return bringBack(a, typed, opt)
	}
	if opt.why == "" {
		return usage.Errorf(`leadline strike ID --why "decimal point"`, "say why: --why is missing")
	}
	var m entry.Mending
	if replace != "" {
		m.Value = &replace
	}
	return mend(a, typed, opt, m, replace == "")
}

// mend strikes entries, and notes what should stand in their places unless they are only struck.
func mend(a *app.App, typed []string, opt meant, m entry.Mending, only bool) error {
	var cs []logbook.Correction
	var lines []string
	err := a.View(func(v *logbook.View) error {
		olds, err := opt.find(a, v, typed)
		if err != nil {
			return err
		}
		var doubts []string
		if only {
			cs = words.Of(olds, func(e logbook.Entry) logbook.Correction { return logbook.Correction{Old: e.EntryID()} })
		} else if cs, doubts, err = m.Lines(v, olds, a.Now()); err != nil {
			return usage.Mistyped(err)
		}
		a.SayEach("warning: %s", doubts)
		olds = slices.DeleteFunc(olds, func(e logbook.Entry) bool { // what is right already
			return !slices.ContainsFunc(cs, func(c logbook.Correction) bool { return c.Old == e.EntryID() })
		})
		lines, err = entry.Sentences(v, olds)
		return err
	})
	if err != nil {
		return err
	}
	ids, err := a.Opened.Correct(opt.strike(a), cs...)
	if err != nil {
		return err
	}
	if a.JSON {
		return printStruck(a, words.Of(cs, func(c logbook.Correction) logbook.ID { return c.Old }), ids)
	}
	a.Each("struck: %s", lines)
	return a.PrintEntries(slices.DeleteFunc(ids, logbook.ID.IsZero))
}

// bringBack has struck entries stand again.
func bringBack(a *app.App, typed []string, opt meant) error {
	es, err := app.Seen(a, func(v *logbook.View) ([]logbook.Entry, error) { return opt.find(a, v, typed) })
	if err != nil {
		return err
	}
	struck := words.Of(es, logbook.Entry.EntryID)
	back, err := a.Opened.BringBack(struck...)
	if err != nil {
		return err
	}
	ids := words.Of(back, logbook.Entry.EntryID)
	if a.JSON {
		return printStruck(a, struck, ids)
	}
	a.Printf("stands again:")
	return a.PrintEntries(ids)
}

// strikeJSON names the struck entry and the one that stands in its place, and the others where there are several.
type strikeJSON struct {
	placedJSON
	Others []placedJSON `json:"others,omitempty"`
}

type placedJSON struct {
	Struck    string  `json:"struck"`
	Successor *string `json:"successor"`
}

func printStruck(a *app.App, struck, successors []logbook.ID) error {
	var all []placedJSON
	for i, id := range struck {
		p := placedJSON{Struck: id.String()}
		if !successors[i].IsZero() {
			text := successors[i].String()
			p.Successor = &text
		}
		all = append(all, p)
	}
	return a.PrintJSON(strikeJSON{all[0], all[1:]})
}

func newCorrect(a *app.App) *cobra.Command {
	var opt meant
	var m entry.Mending
	cmd := a.Command("correct ID...", strikeJSON{}, func(args []string) error { return mend(a, args, opt, m, false) })
	cmd.Aliases = []string{"move"}
	cmd.Args = opt.args
	opt.flags(cmd, "noted wrong", "correct")
	right := func(to **string, name, meaning string) {
		cmd.Flags().Func(name, meaning, func(text string) error {
			*to = &text
			return nil
		})
	}
	right(&m.Tank, "to", "`TANK` that it belongs to")
	right(&m.When, "at", "`TIME` it was; a date alone leaves the time of day")
	right(&m.Parameter, "parameter", "`NAME` of the parameter that a reading is of")
	right(&m.Value, "value", "`VALUE` of a reading; a unit may follow the number")
	right(&m.Method, "method", "`NAME` of the kit or instrument; '' for none")
	right(&m.Note, "note", "the `TEXT` to remember; '' for none")
	right(&m.Who, "who", "`NAME` of who tested; '' for nobody")
	return cmd
}

// shownUndone is how many lines are shown before they are taken back.
const shownUndone = 12

func newUndo(a *app.App) *cobra.Command {
	var yes bool
	cmd := a.Command("undo", undoJSON{}, func([]string) error { return undo(a, yes) })
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
	return a.Answer(undoJSON{words.Of(u.Struck, text), words.Of(u.Back, text), u.Left}, func() {
		a.Printf("taken back: %s", words.Undone(u))
	})
}

// undoJSON names what was struck, the struck entries that stand again, and how many lines were changed since and left
// alone.
type undoJSON struct {
	Struck []string `json:"struck"`
	Back   []string `json:"back"`
	Left   int      `json:"left"`
}
