package keep

import (
	"bytes"
	"encoding/csv"
	"io"
	"time"

	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/report"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

type postOptions struct {
	format, csv string
	private     bool
}

func (p *postOptions) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&p.format, "format", "", "post: `MARKUP` of the forum: bbcode (the default), markdown or text")
	_ = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions([]string{"bbcode", "markdown", "text"}, cobra.ShellCompDirectiveNoFileComp))
	f.BoolVar(&p.private, "private", false, "post: leave out the tank's name and what was written in notes, events and chores")
	f.StringVar(&p.csv, "csv", "", "post: write the readings of the same weeks to this `FILE` as well, as CSV")
}

func (p *postOptions) set() bool { return p.format != "" || p.csv != "" || p.private }

// writePost writes what a helper on a forum asks for.
func writePost(a *app.App, opt exportOptions) error {
	markup := report.BBCode
	if opt.post.format != "" {
		var err error
		if markup, err = report.ParseMarkup(opt.post.format); err != nil {
			return usage.Wrong(err, "--format bbcode, markdown or text")
		}
	}
	var sheet report.Sheet
	var rows bytes.Buffer
	err := a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
		asOf, since, err := a.WindowOf(tank, opt.since, app.PostDays)
		if err != nil {
			return err
		}
		if sheet, err = report.Gather(v, tank.Name, asOf, since); err != nil {
			return err
		}
		if opt.post.csv == "" {
			return nil
		}
		return postCSV(&rows, v, sheet, opt.post.private)
	})
	if err != nil {
		return err
	}
	if opt.post.csv != "" {
		if err := a.WriteFile(opt.post.csv, opt.force, func(w io.Writer) error { _, err := rows.WriteTo(w); return err }); err != nil {
			return err
		}
	}
	text := sheet.Post(report.PostOptions{Markup: markup, Private: opt.post.private})
	write := func(w io.Writer) error { _, err := io.WriteString(w, text); return err }
	if opt.output == "" || opt.output == "-" {
		return write(a.Out)
	}
	return a.WriteFile(opt.output, opt.force, write)
}

// postCSV writes the readings of a sheet's tank and time. The file goes to strangers: text that a spreadsheet would run as
// a formula is guarded, and a private one names no tank and holds no notes.
func postCSV(w io.Writer, v *logbook.View, s report.Sheet, private bool) error {
	var all bytes.Buffer
	err := logbook.WriteCSV(&all, v, logbook.ExportOptions{Tank: s.Report.Tank.Name, Since: s.Since, Spreadsheet: true})
	if err != nil {
		return err
	}
	rows, err := csv.NewReader(&all).ReadAll()
	if err != nil {
		return err
	}
	out := csv.NewWriter(w)
	out.UseCRLF = true
	const when, tank, note = 0, 1, 6 // columns
	for i, row := range rows {
		if i > 0 {
			if t, err := time.Parse(time.RFC3339, row[when]); err != nil || t.After(s.Report.AsOf) {
				continue
			}
			if private {
				row[tank], row[note] = "tank", ""
			}
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
