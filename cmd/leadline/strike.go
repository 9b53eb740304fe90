package main

import (
	"cmp"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/logbook"
	"leadline/logbook/water"
)

type strikeOptions struct{ why, who, replace string }

func newStrike(a *app) *cobra.Command {
	var opt strikeOptions
	cmd := a.prints(strikeJSON{}, &cobra.Command{
		Use:   "strike ID",
		Short: "strike an entry: it no longer counts, and stays readable with the reason",
		Example: `  # a test that went wrong
  leadline strike 01JNQ8V5T06ZD7Q6X3F1M2A9BC --why "the vial was dirty"

  # a slip, with the reading as it should have been
  leadline strike 01JNQ8V5T06ZD7Q6X3F1M2A9BC --why "decimal point" --replace 4.2`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.strike(args[0], opt) },
	})
	f := cmd.Flags()
	f.StringVar(&opt.why, "why", "", "the `REASON`; it stays with the struck line")
	f.StringVar(&opt.who, "who", "", "`NAME` of the person (else the one logged in)")
	f.StringVar(&opt.replace, "replace", "", "the `VALUE` that stands in the place of a struck reading")
	return cmd
}

func (a *app) strike(text string, opt strikeOptions) error {
	if opt.why == "" {
		return usagef(`leadline strike ID --why "decimal point"`, "say why: --why is missing")
	}
	id, err := logbook.ParseID(text)
	if err != nil {
		return wrongUsage(err, "leadline readings PARAMETER lists readings with their ids")
	}
	book, err := a.book()
	if err != nil {
		return err
	}
	var struck, successor logbook.Entry
	err = book.View(func(v *logbook.View) error {
		if err := a.doubtClock(v); err != nil {
			return err
		}
		if struck, err = v.Entry(id); err != nil || opt.replace == "" {
			return err
		}
		successor, err = a.successor(v, struck, opt.replace)
		return err
	})
	if errors.Is(err, logbook.ErrNotFound) {
		return withHint(err, "leadline readings PARAMETER lists readings with their ids")
	}
	if err != nil {
		return err
	}
	s := logbook.Strike{Target: id, Time: a.now().UTC(), Why: opt.why,
		Who: cmp.Or(opt.who, a.env("USER"), a.env("LOGNAME"), a.env("USERNAME"))}
	newID, err := book.Strike(s, successor)
	if err != nil {
		return err
	}
	if a.json {
		out := strikeJSON{Struck: id.String()}
		if successor != nil {
			text := newID.String()
			out.Successor = &text
		}
		return a.printJSON(out)
	}
	a.printf("struck: %s", entryText(struck))
	if r, ok := successor.(logbook.Reading); ok {
		r.ID = newID
		return a.printReadings(book, []logbook.Reading{r})
	}
	return nil
}

// successor is a struck reading with another value; its unit stays unless another follows the number.
func (a *app) successor(v *logbook.View, struck logbook.Entry, text string) (logbook.Entry, error) {
	old, ok := struck.(logbook.Reading)
	if !ok {
		return nil, usagef("strike it, then note it anew", "--replace is for readings; this is %s", kindWords(struck.Kind()))
	}
	p, err := v.Parameter(old.Parameter)
	if err != nil {
		return nil, err
	}
	t, err := v.Tank(old.Tank)
	if err != nil {
		return nil, err
	}
	test := entry.Correction(p, old)
	if test.Line, err = alerts.LineBefore(v, t, p, old.Time); err != nil {
		return nil, err
	}
	x, err := test.ReadAgain(old, text)
	if err != nil {
		return nil, err
	}
	why, _, err := test.Judge(v, x)
	if why != "" {
		a.say("warning: %s: %s", p.Name, why)
	}
	return x.Reading, err
}

// entryText is an entry on one line, with its time and tank.
func entryText(e logbook.Entry) string {
	return oneLine(fmt.Sprintf("%s %s %s", whenText(e.When()), e.TankName(), entryWhat(e)))
}

// entryWhat is what an entry says, on one line.
func entryWhat(e logbook.Entry) string {
	what := ""
	switch e := e.(type) {
	case logbook.Reading:
		what = e.Parameter + " " + readingText(e)
	case logbook.Dosing:
		what = fmt.Sprintf("dosing %s %s a day %s", e.Parameter, alerts.RiseText(e.PerDay, e.Unit), e.Supplement)
	case logbook.Dose:
		what = fmt.Sprintf("dose %s %s %s", e.Parameter, alerts.RiseText(e.Amount, e.Unit), e.Supplement)
	case logbook.WaterChange:
		what = fmt.Sprintf("water change %s %%", water.FormatAtMost(100*e.Fraction, 4))
	case logbook.Event:
		what = "event " + strings.TrimPrefix(e.Subject+": ", ": ") + e.Text
	case logbook.ChoreDone:
		what = "done: " + e.Chore
	case logbook.Refill:
		what = refillText(e)
	default:
		what = kindWords(e.Kind())
	}
	return oneLine(what)
}

// strikeJSON names the struck entry and the one that stands in its place.
type strikeJSON struct {
	Struck    string  `json:"struck"`
	Successor *string `json:"successor"`
}
