package main

import (
	"bufio"
	"context"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"leadline/cmd/internal/app"
	"leadline/logbook"
	"leadline/tui"
)

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
