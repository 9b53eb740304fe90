package note

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"
	"unicode/utf8"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// fileOf is the file of lines that the arguments of add name. What has a "=" is a reading, whatever files there are; a file of
// such a name is told by its folder, "./alk=7.9".
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
	return name, err == nil || strings.ContainsAny(name, "./")
}

// mostLines is the most bytes that are read as lines; a year of test days is less.
const mostLines = 1 << 16

// readText reads a file, or standard input.
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
		return shown, "", usage.WithHint(fmt.Errorf("%s: it is no text of lines, or more than %d kB of it", shown, mostLines>>10), "leadline import reads tables and JSON Lines")
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
		var refused logbook.Refusals
		if err != nil && !errors.As(err, &refused) {
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
	d.warn(a)
	return a.MustAgree("keep "+words.Plural(len(d.readings), "reading", "readings")+"?", "--yes keeps them")
}
