package look

import (
	"context"
	"fmt"
	"time"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/logbook"
)

// denseChunk is how much of a dense log is told at a time. Between two chunks the book is closed, so that whoever wants to
// write to it need not wait for hours.
const denseChunk = 20 * time.Minute

// eachReading tells a hindcast of a dense log, one line for every past reading up to --as-of: each from what was chosen of the
// log up to it, as today's answer is, so that a line costs the same however long the log is.
func eachReading[T any](ctx context.Context, a *app.App, tank logbook.Tank, p logbook.Parameter,
	reckon func(v *logbook.View, t logbook.Tank, p logbook.Parameter, asOf time.Time) (T, error), tell func(T) error) error {
	until := time.Time{}
	if a.AsOfFlag != "" {
		var err error
		if until, err = a.AsOf(tank); err != nil {
			return err
		}
	}
	for from := time.Unix(0, 0); ctx.Err() == nil; {
		var lines []T
		err := a.Opened.View(func(v *logbook.View) error {
			first, found, err := v.FirstReading(tank.Name, p.Name, from)
			if err != nil || !found {
				return err
			}
			end := first.Time.Add(denseChunk)
			if !until.IsZero() && until.Before(end) {
				end = until
			}
			from = end.Add(time.Nanosecond)
			readings, err := v.Readings(tank.Name, p.Name, first.Time, end)
			for i := 0; i < len(readings) && err == nil; i++ {
				var l T
				l, err = reckon(v, tank, p, readings[i].Time)
				lines = append(lines, l)
			}
			return err
		})
		if err != nil || len(lines) == 0 {
			return err
		}
		for _, l := range lines {
			if err := tell(l); err != nil {
				return err
			}
		}
	}
	return ctx.Err()
}

// dailyNote says that a hindcast tells of one reading a day.
func dailyNote(tank logbook.Tank, p logbook.Parameter) string {
	return fmt.Sprintf("%s of %s is a dense log: of the days with more than %d readings one is told", p.Name, words.OneLine(tank.Name), alerts.DenseCrowd)
}
