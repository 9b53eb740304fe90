package app

import (
	"fmt"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

// PrintReadings lists readings with their ids.
func (a *App) PrintReadings(readings []logbook.Reading) error {
	if a.JSON {
		return a.Opened.View(func(v *logbook.View) error {
			out := []shape.Reading{}
			for _, r := range readings {
				p, err := v.Parameter(r.Parameter)
				if err != nil {
					return err
				}
				out = append(out, shape.ReadingOf(r, p))
			}
			return a.PrintJSON(out)
		})
	}
	var c words.Table
	for _, r := range readings {
		c.Add(r.ID.String(), words.Moment(r.Time), r.Tank, r.Parameter, words.Typed(r), r.Method, r.Note)
	}
	a.Table(c, "")
	return nil
}

// LastReading is the latest reading of a finding that has one.
func LastReading(l alerts.Finding) logbook.Reading { return l.Readings[len(l.Readings)-1] }

// PlainNumber is a number to three digits at most, without zeros at its end.
func PlainNumber(v float64) string { return water.FormatAtMost(v, 3) }

// Table prints a table of results, each row behind the indent.
func (a *App) Table(t words.Table, indent string) {
	for _, line := range t.Lines(indent) {
		fmt.Fprintln(a.Out, line)
	}
}

// Printf prints a line of results, cleaned.
func (a *App) Printf(format string, args ...any) {
	fmt.Fprintln(a.Out, usage.CleanLines(fmt.Sprintf(format, args...)))
}

// EntryLine is an entry on one line, with its time and tank.
func EntryLine(k words.Known, e logbook.Entry) string {
	return fmt.Sprintf("%s %s %s", words.Moment(e.When()), words.OneLine(e.TankName()), k.Entry(e))
}
