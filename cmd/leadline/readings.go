package main

import (
	"time"

	"github.com/spf13/cobra"

	"leadline/logbook"
)

type readingsOptions struct{ since string }

func newReadings(a *app) *cobra.Command {
	var opt readingsOptions
	cmd := a.prints([]readingJSON{}, &cobra.Command{
		Use:   "readings PARAMETER",
		Short: "list the readings of a parameter with their ids",
		Example: `  # every nitrate reading of the only tank
  leadline readings nitrate

  # this year's, for a script
  leadline readings no3 --tank forereef --since 2026-01-01 --json`,
		Args:              cobra.ExactArgs(1),
		ValidArgsFunction: a.completeParameters,
		RunE:              func(cmd *cobra.Command, args []string) error { return a.readings(args[0], opt) },
	})
	cmd.Flags().StringVar(&opt.since, "since", "", "only those from this `TIME` on")
	return cmd
}

func (a *app) readings(parameter string, opt readingsOptions) error {
	book, err := a.book()
	if err != nil {
		return err
	}
	var readings []logbook.Reading
	err = book.View(func(v *logbook.View) error {
		tank, err := a.tank(v)
		if err != nil {
			return err
		}
		p, err := a.parameter(v, parameter)
		if err != nil {
			return err
		}
		since, err := sinceTime(opt.since, tank.Zone())
		if err != nil {
			return err
		}
		until := time.Time{}
		if a.asOfFlag != "" {
			if until, err = a.asOf(tank); err != nil {
				return err
			}
		}
		readings, err = v.Readings(tank.Name, p.Name, since, until)
		return err
	})
	if err != nil {
		return err
	}
	return a.printReadings(book, readings)
}

// printReadings lists readings with their ids.
func (a *app) printReadings(book *logbook.Book, readings []logbook.Reading) error {
	if a.json {
		return book.View(func(v *logbook.View) error {
			out := []readingJSON{}
			for _, r := range readings {
				p, err := v.Parameter(r.Parameter)
				if err != nil {
					return err
				}
				out = append(out, readingOf(r, p))
			}
			return a.printJSON(out)
		})
	}
	var c columns
	for _, r := range readings {
		c.add(r.ID.String(), whenText(r.Time), r.Tank, r.Parameter, readingText(r), r.Method, r.Note)
	}
	c.print(a, "")
	return nil
}

// readingJSON is a reading as listed: what was typed, and its value in the canonical unit.
type readingJSON struct {
	ID        string `json:"id"`
	Time      moment `json:"time"`
	Tank      string `json:"tank"`
	Parameter string `json:"parameter"`
	Value     string `json:"value"` // as typed
	Unit      string `json:"unit"`  // as typed
	Bound     string `json:"bound"`
	Canonical number `json:"canonical"`
	InUnit    string `json:"canonical_unit"`
	Method    string `json:"method"`
	Note      string `json:"note"`
}

func readingOf(r logbook.Reading, p logbook.Parameter) readingJSON {
	return readingJSON{ID: r.ID.String(), Time: moment(r.Time), Tank: r.Tank, Parameter: r.Parameter, Value: r.Text, Unit: r.Unit,
		Bound: boundWord(r.Bound), Canonical: number(r.Value), InUnit: p.Unit, Method: r.Method, Note: r.Note}
}
