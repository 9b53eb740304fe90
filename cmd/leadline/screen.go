package main

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"github.com/adrg/xdg"
	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/look"
	"leadline/cmd/internal/plain"
	"leadline/cmd/internal/team"
	"leadline/cmd/internal/terminal"
	"leadline/logbook"
	"leadline/testdata/demo"
	"leadline/tui"
)

// open opens the terminal interface on the book, or the plain one; without a terminal it prints the status.
func open(ctx context.Context, a *app.App) error {
	if a.JSON || !a.HasTerminal() && !a.PlainFlag {
		return look.ShowStatus(a)
	}
	book, err := a.BookToShow()
	switch {
	case err != nil:
		return err
	case a.Talks():
		tell := func(text string) { fmt.Fprintln(a.ErrOut, app.InSpokenWords(text)) }
		defer team.Background(ctx, a, book, tell, nil)()
		return plain.Talk(ctx, a, book)
	}
	return openScreen(ctx, a, book, false)
}

func openScreen(ctx context.Context, a *app.App, book *logbook.Book, demo bool) error {
	asOf, err1 := screenAsOf(a, book)
	set, err2 := a.Settings()
	all, err3 := logbook.Seen(book, (*logbook.View).Parameters)
	usual, _, err4 := a.UsualTank()
	err := cmp.Or(err1, err2, err3, err4)
	if err == nil {
		err = a.CheckUnits(all)
	}
	if err == nil && a.TankFlag != "" {
		err = book.View(func(v *logbook.View) error {
			t, err := a.TankNamed(v, a.TankFlag)
			a.TankFlag = t.Name
			return err
		})
	}
	if err != nil {
		return err
	}
	if t, wrong := logbook.Seen(book, func(v *logbook.View) (logbook.Tank, error) { return v.Tank(usual) }); wrong == nil {
		usual = t.Name
	}
	utf8, _ := terminal.Utf8Locale(a.Env, runtime.GOOS)
	a.OnScreen.Store(true)
	defer a.OnScreen.Store(false)
	ctx, leave := context.WithCancel(ctx)
	defer leave()
	go whileThere(ctx, a.In, leave)
	var apart atomic.Bool
	if !demo {
		defer team.Background(ctx, a, book, func(string) {}, func(is bool) { apart.Store(!is) })()
	}
	err = tui.Run(ctx, tui.Options{
		Book: book, Now: a.Now, AsOf: asOf, In: a.In, Out: a.RawOut, Demo: demo,
		NoColor: a.Colourless(set),
		Light:   a.Light(set),
		ASCII:   !utf8,
		Order:   set.Order,
		Who:     set.Who,
		Apart:   apart.Load,
		Tank:    a.TankFlag, UsualTank: usual,
		Mouse:   a.Switched("LEADLINE_MOUSE", set.Mouse),
		Exports: screenExports(a, book), PlaceFile: placeFile(a, demo),
	})
	if ctx.Err() != nil {
		return app.ErrInterrupted
	}
	return err
}

// whileThere calls leave once the terminal is gone. A closed window sends a hangup as well, but what was started under
// nohup does not get it, and would stay for ever.
func whileThere(ctx context.Context, in any, leave func()) {
	const often = 2 * time.Second
	was := terminal.IsTerminal(in)
	for was {
		select {
		case <-ctx.Done():
			return
		case <-time.After(often):
			was = terminal.IsTerminal(in)
		}
		if !was {
			leave()
		}
	}
}

// screenAsOf is the moment the screens are for; nil means that they go with the clock. The screens show all tanks as of
// one moment, so a date alone means the end of that day in the zone of the first.
func screenAsOf(a *app.App, book *logbook.Book) (*time.Time, error) {
	if a.AsOfFlag == "" {
		return nil, nil
	}
	tanks, err := logbook.Seen(book, a.Tanks)
	if err != nil {
		return nil, err
	}
	when, err := a.AsOf(append(tanks, logbook.Tank{})[0])
	return &when, err
}

// placeName is the file of what was open when the screens were left, in the folder of such things.
const placeName = "leadline/place.json"

// placeFile is where it is kept what was open; "" where it is not kept: an invented book and a past moment are visits.
func placeFile(a *app.App, demo bool) string {
	if demo || a.AsOfFlag != "" {
		return ""
	}
	folder := a.Env("XDG_STATE_HOME")
	if !filepath.IsAbs(folder) {
		if _, err := os.UserHomeDir(); err != nil {
			return ""
		}
		folder = xdg.StateHome
	}
	return filepath.Join(folder, filepath.FromSlash(placeName))
}

func newDemo(a *app.App) *cobra.Command {
	return a.CommandOf("demo", look.StatusJSON{},
		func(cmd *cobra.Command, _ []string) error { return showDemo(cmd.Context(), a) })
}

func showDemo(ctx context.Context, a *app.App) error {
	folder, err := os.MkdirTemp("", "leadline-demo-*")
	if err != nil {
		return err
	}
	a.RemoveAtEnd(folder)
	book, err := demoBook(a, filepath.Join(folder, "demo.book"))
	if err != nil {
		return err
	}
	a.ShowIn(book)
	a.Say("an invented logbook at %s; it is removed at the end", book.Path())
	switch {
	case a.JSON:
	case a.PlainFlag, a.HasTerminal() && a.Talks():
		return plain.Talk(ctx, a, book)
	case a.HasTerminal():
		return openScreen(ctx, a, book, true)
	}
	return look.PrintStatus(a, book)
}

// demoBook makes the invented book, which ends today.
func demoBook(a *app.App, path string) (*logbook.Book, error) {
	log, err := demo.Log(a.Now())
	if err != nil {
		return nil, err
	}
	var batch logbook.Batch
	err = logbook.EachJSONL(bytes.NewReader(log), logbook.JSONLOptions{File: "demo", Parameters: logbook.Standard()},
		batch.Add)
	if err != nil {
		return nil, err
	}
	book, err := logbook.Create(path)
	if err != nil {
		return nil, err
	}
	_, err = book.ImportBatch(&batch)
	return book, err
}

// screenExports are what can be exported from the screens: the files that export, chart, year and table write.
func screenExports(a *app.App, book *logbook.Book) []tui.Export {
	export := func(words ...string) func(tui.Exported) []string {
		return func(tui.Exported) []string { return append([]string{"export"}, words...) }
	}
	chart := func(of tui.Exported) []string { return append(since(of), "chart", "--", of.Parameter) }
	year := func(of tui.Exported) []string {
		if of.Parameter != "" { // else as long as the screen of the year shows
			of.From = time.Time{}
		}
		return append(since(of), "year")
	}
	readings := func(of tui.Exported) []string { return append(since(of), "export", "csv", "--spreadsheet") }
	table := func(of tui.Exported) []string { return append(since(of), "table") }
	return []tui.Export{
		{Name: "chart, PNG picture", Suffix: ".png", OfSeries: true, Write: by(a, book, chart)},
		{Name: "chart, SVG picture", Suffix: ".svg", OfSeries: true, Write: by(a, book, chart)},
		{Name: "year of the tank, PNG picture", Stem: "year", Suffix: ".png", Write: by(a, book, year)},
		{Name: "post for a forum, Markdown", Stem: "post", Suffix: ".md",
			Write: by(a, book, export("post", "--format", "markdown"))},
		{Name: "post for a forum, BBCode", Stem: "post", Suffix: ".txt", Write: by(a, book, export("post"))},
		{Name: "post for a forum, plain text", Stem: "post", Suffix: ".txt",
			Write: by(a, book, export("post", "--format", "text"))},
		{Name: "readings of the tank, CSV", Stem: "readings", Suffix: ".csv", Write: by(a, book, readings)},
		{Name: "table of the tank, CSV", Stem: "table", Suffix: ".csv", Write: by(a, book, table)},
	}
}

// by writes what a command does of what the keeper looks at, up to the moment the screens are for. A fault in the
// settings is no reason to write nothing.
func by(a *app.App, book *logbook.Book, command func(tui.Exported) []string) func(tui.Exported, string, bool) error {
	return func(of tui.Exported, path string, replace bool) error {
		words := []string{"--book=" + book.Path(), "--tank=" + of.Tank.Name, "--as-of=" + of.AsOf.Format(time.RFC3339),
			"--output=" + path, "--force=" + strconv.FormatBool(replace)}
		child := &app.App{In: strings.NewReader(""), Out: bufio.NewWriter(io.Discard), RawOut: io.Discard,
			ErrOut: io.Discard, Env: a.Env, Now: a.Now, Lenient: true, Above: a}
		return execute(context.Background(), child, slices.Concat(words, command(of)))
	}
}

// since names the left end of a chart, where there is one.
func since(of tui.Exported) []string {
	if of.From.IsZero() {
		return nil
	}
	return []string{"--since=" + of.From.Format(time.RFC3339)}
}
