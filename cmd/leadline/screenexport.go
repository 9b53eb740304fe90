package main

import (
	"errors"
	"io"
	"time"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/report"
	"leadline/logbook"
	"leadline/tui"
)

// screenExports are what can be exported from the screens: the same files as those of export and chart.
func screenExports(a *app.App, book *logbook.Book) []tui.Export {
	exports := []tui.Export{
		{Name: "chart, PNG picture", Suffix: ".png", OfSeries: true,
			Write: pictureWriter(a, book, report.PictureOptions{}, chartOf)},
		{Name: "chart, SVG picture", Suffix: ".svg", OfSeries: true,
			Write: pictureWriter(a, book, report.PictureOptions{SVG: true}, chartOf)},
		{Name: "year of the tank, PNG picture", Stem: "year", Suffix: ".png",
			Write: pictureWriter(a, book, report.PictureOptions{Summed: true}, yearOf)},
	}
	for _, m := range []struct {
		name, suffix string
		markup       report.Markup
	}{{"Markdown", ".md", report.Markdown}, {"BBCode", ".txt", report.BBCode}, {"plain text", ".txt", report.Text}} {
		exports = append(exports, tui.Export{Name: "post for a forum, " + m.name, Stem: "post", Suffix: m.suffix,
			Write: postWriter(a, book, m.markup)})
	}
	return append(exports,
		tui.Export{Name: "readings of the tank, CSV", Stem: "readings", Suffix: ".csv", Write: readingsWriter(a, book)},
		tui.Export{Name: "table of the tank, CSV", Stem: "table", Suffix: ".csv",
			Write: writer(a, book, func(v *logbook.View, of tui.Exported) (alerts.Table, error) {
				set, _ := a.Settings() // a fault in the file is no reason to write nothing
				return alerts.TableOf(v, of.Tank, set.Order, from(of, app.ChartDays), of.AsOf)
			}, report.WriteTable)})
}

// writer writes what is gathered before of what the keeper looks at, so that a slow disk does not hold up the book.
func writer[T any](a *app.App, book *logbook.Book, gather func(*logbook.View, tui.Exported) (T, error),
	write func(io.Writer, T) error) func(tui.Exported, string, bool) error {
	return func(of tui.Exported, path string, replace bool) error {
		gathered, err := app.SeenIn(book, func(v *logbook.View) (T, error) { return gather(v, of) })
		if err != nil {
			return err
		}
		return a.WriteFile(path, replace, func(w io.Writer) error { return write(w, gathered) })
	}
}

// pictureWriter draws charts of what the keeper looks at, up to the moment the screens are for.
func pictureWriter(a *app.App, book *logbook.Book, opt report.PictureOptions,
	of func(*app.App, *logbook.View, tui.Exported) ([]picture.Chart, error)) func(tui.Exported, string, bool) error {
	return writer(a, book, func(v *logbook.View, seen tui.Exported) ([]picture.Chart, error) { return of(a, v, seen) },
		func(w io.Writer, charts []picture.Chart) error { return report.Picture(w, opt, charts) })
}

// chartOf is the chart, from its left end on.
func chartOf(_ *app.App, v *logbook.View, of tui.Exported) ([]picture.Chart, error) {
	p, err := v.Parameter(of.Parameter)
	if err != nil {
		return nil, err
	}
	chart, err := picture.Of(v, of.Tank, p, from(of, app.ChartDays), of.AsOf)
	return []picture.Chart{chart}, err
}

// yearOf is every parameter of the tank, over a year or as long as the screen of the year shows.
func yearOf(a *app.App, v *logbook.View, of tui.Exported) ([]picture.Chart, error) {
	if of.Parameter != "" {
		of.From = time.Time{}
	}
	set, _ := a.Settings() // a fault in the file is no reason to draw nothing
	tanks, err := picture.Course(v, []logbook.Tank{of.Tank}, nil, set.Order, from(of, picture.YearDays), of.AsOf)
	switch {
	case err != nil:
		return nil, err
	case len(tanks[0]) == 0:
		return nil, errors.New("nothing was measured in that time")
	}
	return tanks[0], nil
}

// postWriter writes a post on the tank; how far a chart reaches back is no matter for it.
func postWriter(a *app.App, book *logbook.Book, markup report.Markup) func(tui.Exported, string, bool) error {
	return writer(a, book, func(v *logbook.View, of tui.Exported) (report.Sheet, error) {
		return report.Gather(v, of.Tank.Name, of.AsOf, of.AsOf.AddDate(0, 0, -app.PostDays))
	}, func(w io.Writer, sheet report.Sheet) error {
		_, err := io.WriteString(w, sheet.Post(report.PostOptions{Markup: markup}))
		return err
	})
}

// readingsWriter writes the readings of the tank: all, or those from the left end of the chart on.
func readingsWriter(a *app.App, book *logbook.Book) func(tui.Exported, string, bool) error {
	return func(of tui.Exported, path string, replace bool) error {
		return a.WriteFile(path, replace, func(w io.Writer) error {
			return book.View(func(v *logbook.View) error {
				return logbook.WriteCSV(w, v, logbook.ExportOptions{Tank: of.Tank.Name, Since: of.From, Spreadsheet: true})
			})
		})
	}
}

// from is the left end of the chart, or so many days before where there is none.
func from(of tui.Exported, days int) time.Time {
	if of.From.IsZero() {
		return of.AsOf.AddDate(0, 0, -days)
	}
	return of.From
}
