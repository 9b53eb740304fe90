package keep

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts/picture"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/report"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

type exportOptions struct {
	output, since, reader string
	force                 bool
	table                 tableOptions
	post                  postOptions
}

func newExport(a *app.App) *cobra.Command {
	var opt exportOptions
	cmd := &cobra.Command{
		Use: "export csv|jsonl|post|metrics|page", ValidArgs: []string{"csv", "jsonl", "post", "metrics", "page"},
		RunE: func(cmd *cobra.Command, args []string) error {
			return writeExport(a, args[0], opt, cmd.Flags().Changed)
		},
	}
	f := cmd.Flags()
	f.StringVarP(&opt.output, "output", "o", "", "`FILE` to write (else standard output); of page, the folder")
	f.StringVar(&opt.reader, "for", "", "page: for visitors (the default), or for the `team` that looks after the tanks")
	_ = cmd.RegisterFlagCompletionFunc("for",
		cobra.FixedCompletions([]string{"visitors", "team"}, cobra.ShellCompDirectiveNoFileComp))
	f.StringVar(&opt.since, "since", "", "only what is from this `TIME` on")
	f.BoolVar(&opt.force, "force", false, "replace the file if it is there")
	opt.table.flags(cmd)
	opt.post.flags(cmd)
	return cmd
}

func writeExport(a *app.App, format string, opt exportOptions, given func(flag string) bool) error {
	if a.JSON && format != "jsonl" {
		return usage.Errorf("leadline export jsonl is the whole book as JSON; leadline status --json has the numbers of a "+
			"post", "leadline export %s prints no JSON", format)
	}
	for _, own := range []struct{ of, has, says, flags string }{
		{"page", "it", "--for belongs to a page", "for"},
		{"post", "them", "--format, --private and --csv belong to a post", "format private csv"},
		{"csv", "them", "--wide, --columns, --units, --timezone, --wall-clock, --delimiter, --decimal-comma and " +
			"--spreadsheet belong to CSV", "wide columns units timezone wall-clock delimiter decimal-comma spreadsheet"},
	} {
		if format != own.of && slices.ContainsFunc(strings.Fields(own.flags), given) {
			return usage.Errorf("leadline export "+own.of+" has "+own.has, "%s", own.says)
		}
	}
	switch format {
	case "page":
		return writePages(a, opt)
	case "post":
		return writePost(a, opt)
	case "metrics":
		reports, err := a.Reports()
		if err != nil {
			return err
		}
		return deliver(a, opt.output, opt.force, func(w io.Writer) error { return report.Metrics(w, reports) })
	}
	if _, err := a.Book(); err != nil {
		return err
	}
	write := func(w io.Writer) error {
		return a.View(func(v *logbook.View) error {
			opt, err := exportOf(a, v, opt)
			if err != nil {
				return err
			}
			if format == "csv" {
				return logbook.WriteCSV(w, v, opt)
			}
			return logbook.WriteJSONL(w, v, opt)
		})
	}
	return deliver(a, opt.output, opt.force, write)
}

func exportOf(a *app.App, v *logbook.View, opt exportOptions) (logbook.ExportOptions, error) {
	out, err1 := opt.table.export(v)
	tanks, err2 := a.Tanks(v)
	if err := cmp.Or(err1, err2); err != nil {
		return out, err
	}
	zone := time.UTC
	if len(tanks) == 1 {
		zone = tanks[0].Zone()
	}
	if a.TankFlag != "" {
		out.Tank = tanks[0].Name
	}
	since, err := a.Since(opt.since, zone)
	out.Since = since
	return out, err
}

// tableOptions say how the CSV of an export is written.
type tableOptions struct {
	logbook.ExportOptions
	units map[string]string
}

func (t *tableOptions) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.BoolVar(&t.Spreadsheet, "spreadsheet", false,
		"CSV: put a ' before text that a spreadsheet would take for a formula, a number or a day")
	f.BoolVar(&t.Wide, "wide", false,
		"CSV: one row for each test, one column for each parameter; methods and notes only with --columns")
	f.StringSliceVar(&t.Columns, "columns", nil,
		"CSV: these `COLUMNS`, of time,date,tank,parameter,value,unit,method,note; with --wide also parameters")
	f.StringToStringVar(&t.units, "units", nil, "CSV: convert values: `PARAMETER=UNIT,...`")
	usage.Flag(f, &t.Zone, "timezone", "CSV: write times in this `ZONE` (else as they were noted)", app.ParseZone)
	f.BoolVar(&t.WallClock, "wall-clock", false,
		"CSV: write times without an offset, as spreadsheets know them, in --timezone or the tank's zone")
	usage.Flag(f, &t.Comma, "delimiter",
		"CSV: `comma, semicolon or tab` between the fields (else a comma, and with --decimal-comma a semicolon)",
		app.ParseDelimiter)
	f.BoolVar(&t.DecimalComma, "decimal-comma", false, "CSV: write 0,03")
}

// export is what the flags say, checked.
func (t *tableOptions) export(v *logbook.View) (out logbook.ExportOptions, err error) {
	out = t.ExportOptions
	ps, err := v.Parameters()
	if err != nil {
		return out, err
	}
	if out.Units, err = app.UnitsOf(ps, t.units); err != nil {
		return out, err
	}
	if err = out.Check(ps); err != nil {
		err = usage.Mistyped(fmt.Errorf("--columns: %w", err))
	}
	return out, err
}

type postOptions struct {
	format, csv string
	private     bool
}

func (p *postOptions) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&p.format, "format", "", "post: `MARKUP` of the forum: bbcode (the default), markdown or text")
	_ = cmd.RegisterFlagCompletionFunc("format",
		cobra.FixedCompletions([]string{"bbcode", "markdown", "text"}, cobra.ShellCompDirectiveNoFileComp))
	f.BoolVar(&p.private, "private", false,
		"post: leave out the tank's name and what was written in notes, events and chores")
	f.StringVar(&p.csv, "csv", "", "post: write the readings of the same weeks to this `FILE` as well, as CSV")
}

// writePost writes what a helper on a forum asks for.
func writePost(a *app.App, opt exportOptions) error {
	markup, err := report.ParseMarkup(cmp.Or(opt.post.format, string(report.BBCode)))
	if err != nil {
		return usage.Wrong(err, "--format bbcode, markdown or text")
	}
	var sheet report.Sheet
	var rows bytes.Buffer
	err = a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
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
		if err := a.WriteFile(opt.post.csv, opt.force, app.Text(rows.Bytes())); err != nil {
			return err
		}
	}
	text := sheet.Post(report.PostOptions{Markup: markup, Private: opt.post.private})
	return deliver(a, opt.output, opt.force, app.Text(text))
}

// writePages writes a page of every tank into a folder, which is made, and then the one that leads to them.
func writePages(a *app.App, opt exportOptions) error {
	switch {
	case opt.output == "" || opt.output == "-":
		return usage.Errorf("leadline export page -o tanks", "-o says into which folder the pages go")
	case opt.reader != "" && opt.reader != "visitors" && opt.reader != "team":
		return usage.Errorf("--for visitors or --for team", "--for %s: for whom?", opt.reader)
	}
	reports, err1 := a.Reports()
	set, err2 := a.Settings()
	if err := cmp.Or(err1, err2); err != nil {
		return err
	}
	if len(reports) == 0 {
		return usage.WithHint(errors.New("no tank yet"), "leadline tank add NAME starts one")
	}
	pages := make([]report.Page, len(reports))
	if err := a.View(func(v *logbook.View) error {
		for i, r := range reports {
			asOf, since, err := a.WindowOf(r.Tank, opt.since, picture.YearDays)
			if err != nil {
				return err
			}
			r.AsOf = asOf
			course, err := picture.Course(v, []logbook.Tank{r.Tank}, nil, set.Order, since, asOf)
			if err != nil {
				return err
			}
			pages[i] = report.Page{Report: r, Charts: course[0], Team: opt.reader == "team"}
		}
		return nil
	}); err != nil {
		return err
	}
	if err := os.MkdirAll(opt.output, 0o777); err != nil { // who may read it is said by the umask
		return usage.ReadError(opt.output, err)
	}
	for i, file := range report.PageFiles(pages) {
		if err := a.WriteFile(filepath.Join(opt.output, file), opt.force, pages[i].Write); err != nil {
			return err
		}
	}
	return a.WriteFile(filepath.Join(opt.output, report.FrontPage), opt.force,
		func(w io.Writer) error { return report.WriteFrontPage(w, pages) })
}

// deliver writes to a file, or to standard output.
func deliver(a *app.App, output string, force bool, write func(io.Writer) error) error {
	if output == "" || output == "-" {
		return a.Spool(a.Out, write)
	}
	return a.WriteFile(output, force, write)
}

// postCSV writes the readings of a sheet's tank and time. The file goes to strangers: text that a spreadsheet would run
// as a formula is guarded, and a private one names no tank and holds no notes.
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
	const when, tank, note, who = 0, 1, 6, 7 // columns; who is there where somebody is named
	for i, row := range rows {
		if i > 0 {
			if t, err := time.Parse(time.RFC3339, row[when]); err != nil || t.After(s.Report.AsOf) {
				continue
			}
			if private {
				row[tank], row[note] = "tank", ""
			}
		}
		if private {
			row = row[:min(len(row), who)]
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func newCalendar(a *app.App) *cobra.Command {
	var output string
	var force bool
	cmd := a.Command("calendar", app.Words("leadline status --json has what is due"), func([]string) error {
		return calendar(a, output, force)
	})
	f := cmd.Flags()
	f.StringVarP(&output, "output", "o", "", "`FILE` to write (else standard output)")
	f.BoolVar(&force, "force", false, "replace the file if it is there")
	return cmd
}

func calendar(a *app.App, output string, force bool) error {
	reports, err := a.Reports()
	if err != nil {
		return err
	}
	for i := range reports {
		reports[i].AsOf = reports[i].AsOf.In(reports[i].Tank.Zone())
	}
	return deliver(a, output, force, func(w io.Writer) error { return report.Calendar(w, reports) })
}
