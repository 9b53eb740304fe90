package note

import (
	"cmp"
	"errors"

	"github.com/spf13/cobra"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

type strikeOptions struct{ why, who, replace string }

func newStrike(a *app.App) *cobra.Command {
	var opt strikeOptions
	cmd := a.Prints(strikeJSON{}, usage.Command("strike ID",
		"strike an entry: it no longer counts, and stays readable with the reason", `  # a test that went wrong
  leadline strike 01JNQ8V5T06ZD7Q6X3F1M2A9BC --why "the vial was dirty"

  # a slip, with the reading as it should have been
  leadline strike 01JNQ8V5T06ZD7Q6X3F1M2A9BC --why "decimal point" --replace 4.2`, func(args []string) error { return strike(a, args[0], opt) }))
	f := cmd.Flags()
	f.StringVar(&opt.why, "why", "", "the `REASON`; it stays with the struck line")
	f.StringVar(&opt.who, "who", "", "`NAME` of the person (else the one logged in)")
	f.StringVar(&opt.replace, "replace", "", "the `VALUE` that stands in the place of a struck reading")
	return cmd
}

func strike(a *app.App, text string, opt strikeOptions) error {
	if opt.why == "" {
		return usage.Errorf(`leadline strike ID --why "decimal point"`, "say why: --why is missing")
	}
	id, err := logbook.ParseID(text)
	if err != nil {
		return usage.Wrong(err, "leadline readings PARAMETER lists readings with their ids")
	}
	var struck, successor logbook.Entry
	var known words.Known
	err = a.View(func(v *logbook.View) (err error) {
		if err := a.DoubtClock(v); err != nil {
			return err
		}
		if struck, err = v.Entry(id); err != nil {
			return err
		}
		if known, err = words.Know(v, struck.TankName()); err != nil || opt.replace == "" {
			return err
		}
		successor, err = corrected(a, v, struck, opt.replace)
		return err
	})
	if errors.Is(err, logbook.ErrNotFound) {
		return usage.WithHint(err, "leadline readings PARAMETER lists readings with their ids")
	}
	if err != nil {
		return err
	}
	s := logbook.Strike{Target: id, Time: a.Now().UTC(), Why: opt.why,
		Who: cmp.Or(opt.who, a.Env("USER"), a.Env("LOGNAME"), a.Env("USERNAME"))}
	newID, err := a.Opened.Strike(s, successor)
	if err != nil {
		return err
	}
	if a.JSON {
		out := strikeJSON{Struck: id.String()}
		if successor != nil {
			text := newID.String()
			out.Successor = &text
		}
		return a.PrintJSON(out)
	}
	a.Printf("struck: %s", app.EntryLine(known, struck))
	if r, ok := successor.(logbook.Reading); ok {
		r.ID = newID
		return a.PrintReadings([]logbook.Reading{r})
	}
	return nil
}

// corrected is a struck reading with another value; its unit stays unless another follows the number.
func corrected(a *app.App, v *logbook.View, struck logbook.Entry, text string) (logbook.Entry, error) {
	old, ok := struck.(logbook.Reading)
	if !ok {
		return nil, usage.Errorf("strike it, then note it anew", "--replace is for readings; this is a %s", words.Kind(struck.Kind()))
	}
	p, err := v.Parameter(old.Parameter)
	if err != nil {
		return nil, err
	}
	t, err := v.Tank(old.Tank)
	if err != nil {
		return nil, err
	}
	x, why, err := entry.Correction(p, old).Correct(v, t, old, text)
	if why != "" {
		a.Say("warning: %s: %s", p.Name, why)
	}
	return x.Reading, err
}

// strikeJSON names the struck entry and the one that stands in its place.
type strikeJSON struct {
	Struck    string  `json:"struck"`
	Successor *string `json:"successor"`
}
