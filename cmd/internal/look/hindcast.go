package look

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/logbook"
)

func newHindcast(a *app.App) *cobra.Command {
	var allTanks, asItWas bool
	cmd := a.CommandOf("hindcast PARAMETER", shape.Assessment{}, func(cmd *cobra.Command, args []string) error {
		return hindcast(a, cmd, args[0], allTanks, asItWas)
	})
	cmd.Flags().BoolVar(&allTanks, "all-tanks", false, "every tank that has readings of the parameter")
	cmd.Flags().BoolVar(&asItWas, "as-it-was", false, "judge each reading by the band that held at its time")
	return cmd
}

func hindcast(a *app.App, cmd *cobra.Command, parameter string, allTanks, asItWas bool) error {
	tanks, p, err := tanksAndParameter(a, parameter, allTanks)
	if err != nil {
		return err
	}
	casts, err := app.SideBySide(tanks, func(tank logbook.Tank) ([]alerts.Finding, error) {
		return logbook.Seen(a.Opened, func(v *logbook.View) ([]alerts.Finding, error) {
			return alerts.Hindcast(v, tank, p, asItWas)
		})
	})
	if err != nil {
		return err
	}
	for i, lines := range casts {
		if err := cmd.Context().Err(); err != nil {
			return err
		}
		if err := tellHindcast(cmd.Context(), a, lines, tanks[i], p, allTanks, asItWas); err != nil {
			return err
		}
	}
	return nil
}

func tellHindcast(ctx context.Context, a *app.App, lines []alerts.Finding, tank logbook.Tank, p logbook.Parameter,
	allTanks, asItWas bool) error {
	when := func(l alerts.Finding) time.Time { return app.LastReading(l).Time }
	lines, err := tellPast(ctx, a, tank, p, past[alerts.Finding]{lines, len(lines) > 0 && lines[0].Thinned, when,
		func(v *logbook.View, t logbook.Tank, p logbook.Parameter, at time.Time) (alerts.Finding, error) {
			return alerts.HindcastAt(v, t, p, at, asItWas)
		}, func(l alerts.Finding) any { return shape.AssessmentOf(l, when(l)) }})
	if err != nil || a.JSON {
		return err
	}
	if len(lines) == 0 {
		if !allTanks {
			a.Printf("%s has no readings of %s", words.OneLine(tank.Name), p.Name)
		}
		return nil
	}
	last := lines[len(lines)-1]
	a.PrintAs(words.Head, "%s of %s, %s from %s to %s", p.Name, words.OneLine(tank.Name),
		words.Plural(len(lines), "reading", "readings"), words.Day(when(lines[0])), words.Day(when(last)))
	told := false
	for _, what := range watched(lines) {
		for _, e := range episodes(lines, what.holds) {
			told = true
			a.Printf("  %s", e.text(what, lines))
		}
	}
	if !told {
		a.Printf("  it would have stayed silent throughout")
	}
	return nil
}

// watch is something a hindcast tells of: what it is called, and whether a line says it.
type watch struct {
	would  string // "would have warned of bottoming out"
	holds  func(alerts.Finding) bool
	outcry bool // name the reading that came against the floor
}

// watched is what is told of a parameter: the floor where it has, or had, one, and the band likewise.
func watched(lines []alerts.Finding) []watch {
	var ws []watch
	if slices.ContainsFunc(lines, func(l alerts.Finding) bool { return !math.IsNaN(l.Assessment.Floor) }) {
		ws = append(ws,
			watch{"would have warned of bottoming out", func(l alerts.Finding) bool {
				return l.Assessment.BottomingOut || l.Assessment.BottomedOut
			}, true},
			watch{"would have said bottomed out", func(l alerts.Finding) bool { return l.Assessment.BottomedOut }, false})
	}
	if slices.ContainsFunc(lines, func(l alerts.Finding) bool { return l.Band.Set() }) {
		is := func(s alerts.BandState) func(alerts.Finding) bool {
			return func(l alerts.Finding) bool { return l.BandState == s }
		}
		ws = append(ws, watch{"would have said below the band", is(alerts.BandBelow), false},
			watch{"would have said above the band", is(alerts.BandAbove), false})
	}
	return ws
}

// episode is an unbroken run of lines of which something holds: from the line first to the one before end.
type episode struct{ first, end int }

func episodes(lines []alerts.Finding, holds func(alerts.Finding) bool) []episode {
	var es []episode
	for i := 0; i < len(lines); i++ {
		e := episode{i, i}
		for e.end < len(lines) && holds(lines[e.end]) {
			e.end++
		}
		if e.end > i {
			es, i = append(es, e), e.end
		}
	}
	return es
}

// text tells an episode: when it would have been raised, on what reading, what came against it, and when it would have
// been cleared.
func (e episode) text(w watch, lines []alerts.Finding) string {
	l := lines[e.first]
	r := app.LastReading(l)
	s := fmt.Sprintf("%s on %s (reading %s)", w.would, words.Day(r.Time), words.Shown(l.Parameter, r))
	if w.outcry {
		s += ", " + e.against(lines)
	}
	if e.end < len(lines) {
		r := app.LastReading(lines[e.end])
		return s + fmt.Sprintf("; cleared on %s (reading %s)", words.Day(r.Time), words.Shown(l.Parameter, r))
	}
	return s + "; still open at the last reading"
}

// against is what came of a warning: the first later reading at or below the floor, and the days between; or that none
// did.
func (e episode) against(lines []alerts.Finding) string {
	floor := lines[e.first].Assessment.Floor
	raised := app.LastReading(lines[e.first]).Time
	for _, l := range lines[e.first:min(e.end+1, len(lines))] { // the reading that cleared it may be one, held for a slip
		if r := app.LastReading(l); r.Value <= floor {
			return fmt.Sprintf("%s before the first reading at or below the floor of %s (%s on %s)",
				words.Days(alerts.Day(r.Time)-alerts.Day(raised)+0.5), words.Quantity(l.Parameter, floor),
				words.Shown(l.Parameter, r), words.Day(r.Time))
		}
	}
	return fmt.Sprintf("no reading at or below the floor of %s came of it",
		words.Quantity(lines[e.first].Parameter, floor))
}

// past is what would have been said at each past reading of a tank.
type past[T any] struct {
	said   []T
	dense  bool // at one reading a day, for there are many more
	at     func(T) time.Time
	reckon func(v *logbook.View, t logbook.Tank, p logbook.Parameter, asOf time.Time) (T, error)
	json   func(T) any
}

// tellPast prints it as JSON, of a dense log at every reading; else it answers with what was said up to --as-of.
func tellPast[T any](ctx context.Context, a *app.App, tank logbook.Tank, p logbook.Parameter, of past[T]) ([]T, error) {
	asOf, err := a.Until(tank)
	if err != nil {
		return nil, err
	}
	said := slices.DeleteFunc(of.said, func(x T) bool { return !asOf.IsZero() && of.at(x).After(asOf) })
	print := func(x T) error { return a.PrintJSON(of.json(x)) }
	switch {
	case a.JSON && of.dense:
		return nil, eachReading(ctx, a, tank, p, asOf, of.reckon, print)
	case of.dense:
		a.Say("note: %s of %s is a dense log: of the days with more than %d readings one is told", p.Name,
			words.OneLine(tank.Name), alerts.DenseCrowd)
	case a.JSON:
		for i := 0; i < len(said) && err == nil; i++ {
			err = print(said[i])
		}
	}
	return said, err
}

// denseChunk is how much of a dense log is told at a time. Between two chunks the book is closed, so that whoever wants
// to write to it need not wait for hours.
const denseChunk = 20 * time.Minute

// eachReading tells a hindcast of a dense log, one line for every past reading, up to until if that is not zero: each
// from what was chosen of the log up to it, as today's answer is, so that a line costs the same however long the log
// is.
func eachReading[T any](ctx context.Context, a *app.App, tank logbook.Tank, p logbook.Parameter, until time.Time,
	reckon func(v *logbook.View, t logbook.Tank, p logbook.Parameter, asOf time.Time) (T, error),
	tell func(T) error) error {
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
