// Package importing reads tables and JSON Lines into the book, and keeps how a table is read.
package importing

import (
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"slices"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// Commands are the commands of this room.
func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newImport(a), newMapping(a)}
}

type importOptions struct {
	dryRun, preview     bool
	newTanks            bool
	format, usedMapping string
	saveMapping         string
	skipBad             string
	follow              bool
	said                bool // what was assumed
	told                int  // of a followed file, the rows whose refusals were told
	wasThere            bool // of a followed file, rows that were there when it was opened
	mapping                  // how its table is to be read
	given               func(flag string) bool
}

func newImport(a *app.App) *cobra.Command {
	var opt importOptions
	cmd := a.CommandOf("import FILE|-", importedJSON{}, func(cmd *cobra.Command, args []string) error {
		opt.given = cmd.Flags().Changed
		if opt.follow {
			return follow(cmd.Context(), a, args[0], opt)
		}
		return importFile(a, args[0], opt)
	})
	f := cmd.Flags()
	f.BoolVarP(&opt.dryRun, "dry-run", "n", false, "check the file and count; write nothing")
	f.BoolVar(&opt.preview, "preview", false, "show how the file is understood and what would be kept; write nothing")
	f.BoolVar(&opt.newTanks, "new-tanks", false, "start the tanks that the file names and the logbook does not have")
	f.StringVar(&opt.format, "format", "", "`csv, jsonl, xlsx or ods` (else recognised)")
	f.StringVar(&opt.usedMapping, "mapping", "",
		"read the table by the saved mapping of this `NAME`; other flags go before it")
	f.StringVar(&opt.saveMapping, "save-mapping", "", "keep how this table was read under a `NAME`, once it is imported")
	f.BoolVarP(&opt.follow, "follow", "f", false, "read on as the table grows, until ctrl+c, past rows that are refused")
	f.StringVar(&opt.skipBad, "skip-bad", "",
		"keep what can be read of a table; the rows with the rest go into this `FILE`, to be mended")
	opt.mapping.flags(f)
	_ = cmd.RegisterFlagCompletionFunc("mapping", completeMappings(a))
	return cmd
}

// flags are those that say how a table is read.
func (m *mapping) flags(f *pflag.FlagSet) {
	f.StringToStringVar(&m.Map, "map", nil, "which column holds which field or parameter: `FIELD=COLUMN,...`")
	f.StringSliceVar(&m.Ignore, "ignore", nil, "`COLUMNS` to leave out")
	f.IntVar(&m.Skip, "skip", 0, "`ROWS` above the header to pass over, such as a title")
	f.StringVar(&m.Sheet, "sheet", "", "the `SHEET` of a spreadsheet with several")
	f.StringVar(&m.Parameter, "parameter", "", "the `PARAMETER` of readings that name none")
	f.StringVar(&m.Unit, "unit", "", "the `UNIT` of values that name none (else the parameter's own)")
	f.StringToStringVar(&m.Units, "units", nil, "the units of values that name none: `PARAMETER=UNIT,...`")
	f.StringVar(&m.Method, "method", "", "the `METHOD` of readings that name none")
	f.StringVar(&m.Timezone, "timezone", "", "`ZONE` of times without an offset (else the tank's); a new tank gets it")
	f.StringVar(&m.DateOrder, "date-order", "", "how 03/04/2026 is meant: `dmy or mdy`")
	f.StringVar(&m.Delimiter, "delimiter", "",
		"what stands between the fields of CSV: `comma, semicolon or tab` (else seen in the header)")
	f.BoolVar(&m.DecimalComma, "decimal-comma", false, `every comma in a value is a decimal one: 1,300 is 1.3`)
}

func importFile(a *app.App, name string, opt importOptions) error {
	opt, err := withMapping(a, opt)
	if err != nil {
		return err
	}
	if err := checkSaving(a, opt); err != nil {
		return err
	}
	known, err := knownFor(a, opt)
	if err != nil {
		return err
	}
	in, err := openInput(a, name, opt.format)
	if err != nil {
		return err
	}
	defer in.Close()
	return importInput(a, in, known, opt)
}

// importInput imports what was opened.
func importInput(a *app.App, in *input, known known, opt importOptions) error {
	table, err := opt.tableOptions(in.shown, known)
	if err != nil {
		return err
	}
	table.SkipBad = opt.skipBad != "" || opt.follow
	a.EveryRefusal = table.SkipBad
	now := a.Now()
	table.Later = func(tank string, at time.Time, from logbook.TimeFrom) error {
		here := now.In(known.zone(tank))
		if from == logbook.TimeNoon && at.Format(time.DateOnly) == here.Format(time.DateOnly) {
			// of today's readings, before noon
			return nil
		}
		return entry.RefuseLater(at, here)
	}
	if table.SkipBad && in.format == "jsonl" {
		return usage.Errorf("leave --skip-bad out", "--skip-bad is for tables, and %s is JSON Lines", in.shown)
	}
	batch := newCounted(known.parameters, table.Notes, opt.preview)
	if opt.follow { // what says the same may come in one piece or in two
		batch.once = map[[3]any]bool{}
	}
	batch.Timezone = opt.Timezone
	err = readInput(in, table, batch.add)
	a.EndProgress()
	if err != nil {
		err = hintMapping(a, usage.ReadError(in.shown, err), opt, table.Notes)
		if opt.preview {
			return previewRefused(a, in, batch, err)
		}
		return err
	}
	warnUnlikely(a, batch)
	if !opt.said {
		a.SayEach("note: %s", words.Of(assumed(batch, known), words.OneLine))
		sayUnusedMapping(a, opt, table.Notes)
	}
	if batch.Len() == 0 {
		a.Say("note: %s holds no readings", words.OneLine(in.shown))
	}
	left := table.Notes.LeftOut
	for i := range left {
		left[i].Line += in.above
	}
	left = slices.DeleteFunc(left, func(r logbook.Refusal) bool { return opt.follow && r.Line <= opt.told })
	if !opt.follow {
		a.PrintRefusals(left)
	}
	if opt.dryRun || opt.preview {
		return tryImport(a, in, batch, known, opt.preview)
	}
	if !opt.newTanks {
		if err := askNewTanks(a, batch, known); err != nil {
			return err
		}
	}
	if len(left) > 0 && !opt.follow {
		a.RemoveAtEnd(opt.skipBad)
		if err := a.WriteFile(opt.skipBad, false, app.Text(table.Notes.LeftRows)); err != nil {
			a.KeepAtEnd(opt.skipBad)
			return usage.WithHint(err, "name another file")
		}
		a.Say("note: %s has the rows of what was left out: mend them there and import it", opt.skipBad)
	}
	if err := keepImport(a, batch); err != nil {
		return err
	}
	a.KeepAtEnd(opt.skipBad)
	if opt.follow { // behind the writing, which is tried again while the book is in use
		if opt.wasThere && batch.isKnown && len(left) > 0 {
			left = slices.CompactFunc(left, func(a, b logbook.Refusal) bool { return a.Line == b.Line })
			a.Say("note: %s: %s, and all others are in the book", words.OneLine(in.shown),
				words.Plural(len(left), "line is refused", "lines are refused"))
		} else {
			a.PrintRefusals(left)
		}
	}
	if opt.saveMapping != "" {
		return saveMapping(a, opt.saveMapping, opt.mapping, table.Notes.Header)
	}
	return nil
}

// readInput reads the records of a file.
func readInput(in *input, table logbook.CSVOptions, add func(logbook.Record) error) error {
	switch in.format {
	case "csv":
		return logbook.EachCSV(in.text, table, add)
	case "xlsx", "ods":
		return logbook.EachSheet(in.packed, in.size, table, add)
	default:
		return logbook.EachJSONL(in.text, logbook.JSONLOptions{File: in.shown, Parameters: table.Parameters}, add)
	}
}

// askNewTanks asks before an import starts tanks in a book that has some: such a name may be a slip, or an old
// spelling.
func askNewTanks(a *app.App, batch *counted, k known) error {
	for _, name := range batch.newTanks(k) {
		question := fmt.Sprintf("%q is not a tank of this logbook: start it?", name)
		if near := logbook.Nearest(name, app.TankNames(k.tanks)); near != "" {
			question = fmt.Sprintf("%q is not a tank of this logbook, %q is: start another?", name, near)
		}
		if err := a.MustAgree(question,
			"--new-tanks starts the tanks that the file names; else change the name in the file"); err != nil {
			return err
		}
	}
	return nil
}

// keepImport writes what was read. Only here the book is opened, so that a refused file leaves no new one behind, and
// neither does an import that is interrupted.
func keepImport(a *app.App, batch *counted) error {
	path, err := a.BookPath()
	if err != nil {
		return err
	}
	_, err = logbook.Create(path)
	isNew := err == nil
	if isNew {
		a.RemoveAtEnd(path)
	} else if !errors.Is(err, logbook.ErrExists) {
		return err
	}
	book, err := a.Book()
	if err != nil {
		return err
	}
	if !isNew && batch.once == nil {
		book.BackupNow()
	}
	a.ShowProgress("writing to the book", 0)
	done, err := book.ImportBatch(&batch.Batch)
	a.EndProgress()
	if isNew && (err == nil || errors.Is(err, logbook.ErrUnsure)) {
		a.KeepAtEnd(path)
	}
	if err != nil {
		return err
	}
	batch.isKnown = done.Added == 0 && done.Already > 0
	if batch.once != nil && done.Added == 0 { // nothing to tell of what is followed
		return nil
	}
	warnTwice(a, batch)
	out := importedJSON{Records: batch.Len(), LeftOut: batch.notes.LeftReadings, Added: &done.Added,
		Already: &done.Already, Tanks: append([]string{}, done.Tanks...), ByKind: done.ByKind}
	return printImported(a, book, done, out)
}

// tryImport says what an import would do: to the book that there is, or to a new one.
func tryImport(a *app.App, in *input, batch *counted, k known, preview bool) error {
	out := importedJSON{DryRun: true, Records: batch.Len(), LeftOut: batch.notes.LeftReadings, ByKind: batch.byKind,
		Tanks: []string{}}
	var book *logbook.Book
	var done logbook.Imported
	path, err := a.BookPath()
	if err != nil {
		return err
	}
	if _, err := os.Lstat(path); err == nil {
		if book, err = a.Book(); err != nil {
			return err
		}
		if done, err = book.TryImport(&batch.Batch); err != nil {
			return err
		}
		out.Added, out.Already, out.Tanks = &done.Added, &done.Already, append(out.Tanks, done.Tanks...)
		warnTwice(a, batch)
	}
	if preview {
		out.Preview = previewOf(in, batch, k)
		if !a.JSON {
			printPreview(a, out.Preview)
		}
	}
	return printImported(a, book, done, out)
}

const (
	spareUpTo = 64 << 20  // a file of this size, over a million rows, has room in spareHeap
	spareHeap = 420 << 20 // bytes
)

// spareCollector puts the garbage collector off for the import of a file that fits into memory as it is: an import
// keeps nearly all that it allocates until the commit, and looking through it again and again takes a third of the
// time. The limit holds the process under half a gigabyte all the same.
func spareCollector(file io.Reader) {
	f, is := file.(*os.File)
	if !is {
		return
	}
	if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() || info.Size() > spareUpTo {
		return
	}
	debug.SetMemoryLimit(spareHeap)
	debug.SetGCPercent(-1)
}

func printImported(a *app.App, book *logbook.Book, im logbook.Imported, done importedJSON) error {
	if a.JSON {
		done.Overruled = words.Of(im.Overruled, logbook.Step.Name)
		return a.PrintJSON(done)
	}
	detail, left := words.Counts(done.ByKind), ""
	if done.LeftOut > 0 {
		left = fmt.Sprintf(", %d left out", done.LeftOut)
	}
	if done.DryRun {
		would := ""
		if done.Added != nil {
			would = fmt.Sprintf("; %d would be added, %d are there already", *done.Added, *done.Already)
		}
		a.Printf("%s can be read%s%s%s; nothing was written", words.Plural(done.Records, "record", "records"), detail, left,
			would)
	} else {
		a.Printf("%d added%s, %d there already%s", *done.Added, detail, *done.Already, left)
	}
	a.Each("new tank: %s", words.Of(done.Tanks, words.OneLine))
	return a.PrintOtherwise(book, im)
}

// importedJSON says what an import did or, after --dry-run, would do.
type importedJSON struct {
	DryRun  bool                 `json:"dry_run"`
	Records int                  `json:"records"`
	Added   *int                 `json:"added"`   // null where there is no book to add to yet
	Already *int                 `json:"already"` // likewise
	Tanks   []string             `json:"tanks_created"`
	ByKind  map[logbook.Kind]int `json:"by_kind"`            // the added ones; of a dry run all that can be read
	LeftOut int                  `json:"left_out,omitempty"` // readings, with --skip-bad

	// Definitions of which the file tells no moment, and what the book has noted otherwise since.
	Overruled []string `json:"overruled,omitempty"`

	Preview *previewJSON `json:"preview"` // null without --preview
}
