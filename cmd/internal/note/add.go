package note

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

type addOptions struct {
	unit, at, method, note, who string
	yes                         bool
}

func newAdd(a *app.App) *cobra.Command {
	var opt addOptions
	cmd := a.Command("add PARAMETER=VALUE...|FILE|-", []shape.Reading{},
		func(args []string) error { return add(a, args, opt) })
	cmd.Args = cobra.MinimumNArgs(1)
	f := cmd.Flags()
	f.StringVar(&opt.unit, "unit", "",
		"`UNIT` of the values that have none behind them (else that of the method, your settings, the last readings)")
	f.StringVar(&opt.at, "at", "", "`TIME` of the test (else now); a date alone means noon in the tank's zone")
	f.StringVar(&opt.method, "method", "", "`NAME` of the kit or instrument")
	f.StringVar(&opt.note, "note", "", "a `TEXT` to remember")
	whoFlag(f, &opt.who)
	f.BoolVarP(&opt.yes, "yes", "y", false,
		"the values are meant: nothing is asked, no warning about unlikely ones, no note on a unit")
	return cmd
}

func add(a *app.App, args []string, opt addOptions) error {
	if name, is := fileOf(args); is {
		return addLines(a, name, opt)
	}
	assignments, err := app.ParseAssignments(args)
	if err != nil {
		return err
	}
	var d typedDay
	err = a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
		when, err := a.At(opt.at, tank, false)
		if err != nil {
			return err
		}
		if !opt.yes {
			if err := warnOfPast(a, v, tank, opt.at, when); err != nil {
				return err
			}
		}
		line := entry.Line{Tank: tank, At: when}
		for _, as := range assignments {
			p, err := a.Parameter(v, as.Parameter)
			if err != nil {
				return err
			}
			line.Tests = append(line.Tests, entry.Typed{Parameter: p, Text: as.Text})
		}
		return d.take(a, v, line, opt, func(_ entry.Typed, err error) error { return err })
	})
	if err != nil {
		return err
	}
	if err := d.keep(a); err != nil {
		return err
	}
	if !opt.yes {
		a.SayEach("%s", d.warnings)
	}
	return a.PrintReadings(d.readings)
}

// typedDay is what was typed and is not in the book yet.
type typedDay struct {
	readings []logbook.Reading
	warnings []string
}

// take reads what was typed of one tank and moment. What cannot be read is for refuse, whose error ends it.
func (d *typedDay) take(a *app.App, v *logbook.View, line entry.Line, opt addOptions,
	refuse func(entry.Typed, error) error) error {
	c, err := entry.Load(v, line.Tank, line.At,
		words.Of(line.Tests, func(x entry.Typed) logbook.Parameter { return x.Parameter })...)
	if err != nil {
		return err
	}
	tests, before := []entry.Test{}, len(d.readings)
	for _, x := range line.Tests {
		r, about, err := a.NewReading(c, x.Parameter, x.Text,
			app.TypedBy{Unit: opt.unit, Method: opt.method, Note: cmp.Or(line.Note, opt.note), Who: opt.who}, line.At)
		if err != nil {
			if err := refuse(x, err); err != nil {
				return err
			}
			continue
		}
		if why, _ := entry.Twice(r, d.readings); why != "" {
			about = append(about, "warning: "+r.Parameter+": "+why)
		}
		d.readings, d.warnings = append(d.readings, r), append(d.warnings, about...)
		t := c.TestNow(x.Parameter)
		t.Method, t.Unit = r.Method, r.Unit
		tests = append(tests, t)
	}
	day := d.readings[before:]
	for i, t := range tests {
		for j, other := range tests[:i] {
			if why := cmp.Or(other.Swapped(day[j], t, day[i]), t.Swapped(day[i], other, day[j])); why != "" {
				d.warnings = append(d.warnings, "warning: "+why)
			}
		}
	}
	return nil
}

// keep puts all of it into the book.
func (d *typedDay) keep(a *app.App) error {
	ids, err := a.Opened.Append(words.Of(d.readings, func(r logbook.Reading) logbook.Record { return r })...)
	for i := range ids {
		d.readings[i].ID = ids[i]
	}
	return err
}

// fileOf is the file of lines that the arguments of add name. What has a "=" is a reading, whatever files there are; a
// file of such a name is told by its folder, "./alk=7.9".
func fileOf(args []string) (name string, is bool) {
	if len(args) != 1 {
		return "", false
	}
	name = args[0]
	before, _, assigned := strings.Cut(name, "=")
	if name == "-" || assigned {
		return name, !assigned || strings.ContainsRune(before, '/') || strings.ContainsRune(before, os.PathSeparator)
	}
	_, err := os.Stat(name)
	_, amount := entry.Number(name[strings.LastIndex(name, " ")+1:])
	return name, err == nil || amount != nil && strings.ContainsAny(name, "./")
}

// mostLines is the most bytes that are read as lines; a year of test days is less.
const mostLines = 1 << 16

func readText(a *app.App, name string) (shown, text string, err error) {
	shown = name
	var r io.Reader = a.In
	if name == "-" {
		shown = "standard input"
	} else {
		f, err := os.Open(name)
		if err != nil {
			return shown, "", usage.ReadError(name, err)
		}
		defer f.Close()
		r = f
	}
	b, err := io.ReadAll(io.LimitReader(r, mostLines+1))
	switch {
	case err != nil:
		return shown, "", usage.ReadError(shown, err)
	case len(b) > mostLines || !utf8.Valid(b):
		return shown, "", usage.WithHint(fmt.Errorf("%s: it is no text of lines, or more than %d kB of it", shown,
			mostLines>>10), "leadline import reads tables and JSON Lines")
	}
	return shown, string(b), nil
}

// addLines keeps the readings of a file of lines, all or none.
func addLines(a *app.App, name string, opt addOptions) error {
	shown, text, err := readText(a, name)
	if err != nil {
		return err
	}
	var d typedDay
	err = a.View(func(v *logbook.View) error {
		l, err := linesOf(a, v, shown, opt)
		if err != nil {
			return err
		}
		lines, err := l.Read(text)
		if _, refused := errors.AsType[logbook.Refusals](err); err != nil && !refused {
			return err
		}
		for _, line := range lines {
			err := d.take(a, v, line, opt, func(x entry.Typed, err error) error {
				what, hint := usage.InWords(err)
				l.Refuse(line.Number, x.Column, x.Text, logbook.Refusal{Reason: what, Hint: hint})
				return nil
			})
			if err != nil {
				return err
			}
		}
		return l.Refused()
	})
	switch {
	case err != nil:
		return err
	case len(d.readings) == 0:
		return usage.WithHint(fmt.Errorf("%s: no reading stands there", shown), entry.LineHint)
	case !opt.yes:
		if err := agree(a, &d); err != nil {
			return err
		}
	}
	if err := d.keep(a); err != nil {
		return err
	}
	return a.PrintReadings(d.readings)
}

// linesOf is how the lines of a file are read.
func linesOf(a *app.App, v *logbook.View, file string, opt addOptions) (l entry.Lines, err error) {
	l = entry.Lines{File: file, Now: a.Now()}
	if l.Tanks, err = v.Tanks(); err != nil {
		return l, err
	}
	if l.Parameters, err = v.Parameters(); err != nil {
		return l, err
	}
	if l.Tank, err = a.Tank(v); err != nil && (len(l.Tanks) < 2 || a.TankFlag != "") {
		return l, err
	}
	l.At = func(t logbook.Tank) (time.Time, error) { return a.At(opt.at, t, false) }
	_, err = l.At(l.Tank)
	return l, err
}

// agree shows what was understood and asks whether it is to be kept.
func agree(a *app.App, d *typedDay) error {
	var t words.Table
	for _, r := range d.readings {
		t.Add(words.Moment(r.Time), r.Tank, r.Parameter, words.Typed(r), r.Method, r.Note)
	}
	if a.JSON {
		return usage.Errorf("--yes keeps them", "nothing was kept: with --json nothing is asked")
	}
	a.Table(t, "")
	a.SayEach("%s", d.warnings)
	return a.MustAgree("keep "+words.Plural(len(d.readings), "reading", "readings")+"?", "--yes keeps them")
}
