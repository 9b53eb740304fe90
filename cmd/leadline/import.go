package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/logbook"
)

type importOptions struct {
	dryRun, decimalComma                       bool
	columns                                    map[string]string
	ignore                                     []string
	parameter, unit, method, dateOrder, format string
}

func newImport(a *app) *cobra.Command {
	var opt importOptions
	cmd := &cobra.Command{
		Use:   "import FILE|-",
		Short: "read a CSV or JSON Lines file into the book, all of it or nothing",
		Long: `Read a CSV or JSON Lines file into the book. Either all of it is kept or, where anything is refused, nothing;
a second run of the same file adds nothing. Tanks that the file names are made where they are missing.

CSV has the columns time,tank,parameter,value,unit,method,note in any order, or a time column and one column for every
parameter, as spreadsheets have it. With --map other column names are read:
fields are time, tank, parameter, value, unit, method, note, and censored (true: the value is "<").`,
		Example: `  # look first what it would do
  leadline import readings.csv --dry-run

  # a file with its own column names, of one parameter and one tank
  leadline import river.csv --map time=date,value=value,censored=censored,unit=unit --tank river --parameter nitrate`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.importFile(args[0], opt) },
	}
	f := cmd.Flags()
	f.BoolVarP(&opt.dryRun, "dry-run", "n", false, "check the file and count; write nothing")
	f.StringToStringVar(&opt.columns, "map", nil, "which column holds which field: `FIELD=COLUMN,...`")
	f.StringSliceVar(&opt.ignore, "ignore", nil, "`COLUMNS` to leave out")
	f.StringVar(&opt.parameter, "parameter", "", "the `PARAMETER` of readings that name none")
	f.StringVar(&opt.unit, "unit", "", "the `UNIT` of values that name none (else the parameter's own)")
	f.StringVar(&opt.method, "method", "", "the `METHOD` of readings that name none")
	f.StringVar(&opt.dateOrder, "date-order", "", "how 03/04/2026 is meant: `dmy or mdy`")
	f.BoolVar(&opt.decimalComma, "decimal-comma", false, `"0,03" is a number`)
	f.StringVar(&opt.format, "format", "", "`csv or jsonl` (else recognised)")
	_ = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions([]string{"csv", "jsonl"}, cobra.ShellCompDirectiveNoFileComp))
	_ = cmd.RegisterFlagCompletionFunc("date-order", cobra.FixedCompletions([]string{"dmy", "mdy"}, cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

func (a *app) importFile(name string, opt importOptions) error {
	order, err := logbook.ParseDateOrder(opt.dateOrder)
	if err != nil {
		return usageError{fmt.Errorf("--date-order: %w", err), "--date-order dmy or --date-order mdy"}
	}
	file, err := a.openInput(name)
	if err != nil {
		return err
	}
	defer file.Close()
	spareCollector(file)
	in := bufio.NewReaderSize(file, 1<<16)
	format := opt.format
	if format == "" {
		format = recognise(in)
	}
	known, err := a.knownFor(opt)
	if err != nil {
		return err
	}
	shown := name
	if name == "-" {
		shown = "standard input"
	}
	batch := newCounted(known.parameters)
	switch format {
	case "csv":
		err = logbook.EachCSV(in, logbook.CSVOptions{
			File: shown, Parameters: known.parameters, Tank: known.tank, Parameter: known.parameter, Unit: opt.unit, Method: opt.method,
			Zone: known.zone, Order: order, Map: opt.columns, Ignore: opt.ignore, DecimalComma: opt.decimalComma,
		}, batch.add)
	case "jsonl":
		err = logbook.EachJSONL(in, logbook.JSONLOptions{File: shown, Parameters: known.parameters}, batch.add)
	default:
		return usagef("--format csv or --format jsonl", "--format: %q is not a format that can be read", format)
	}
	if err != nil {
		return readError(shown, err)
	}
	a.warnUnlikely(batch)
	if batch.Len() == 0 {
		a.say("note: %s holds no readings", oneLine(shown))
	}
	if opt.dryRun {
		return a.tryImport(batch)
	}
	// Only now, so that a refused file leaves no new book behind.
	book, err := a.bookOrNew()
	if err != nil {
		return err
	}
	done, err := book.ImportBatch(&batch.Batch)
	if err != nil {
		return err
	}
	out := importedJSON{Records: batch.Len(), Added: &done.Added, Already: &done.Already, Tanks: append([]string{}, done.Tanks...), ByKind: map[string]int{}}
	for kind, n := range done.ByKind {
		out.ByKind[string(kind)] = n
	}
	return a.printImported(out)
}

// tryImport says what an import would do: of the book that there is, or of a new one.
func (a *app) tryImport(batch *counted) error {
	out := importedJSON{DryRun: true, Records: batch.Len(), ByKind: batch.byKind, Tanks: []string{}}
	path, err := a.bookPath()
	if err != nil {
		return err
	}
	if _, err := os.Lstat(path); err == nil {
		book, err := a.book()
		if err != nil {
			return err
		}
		done, err := book.TryImport(&batch.Batch)
		if err != nil {
			return err
		}
		out.Added, out.Already, out.Tanks = &done.Added, &done.Already, append(out.Tanks, done.Tanks...)
	}
	return a.printImported(out)
}

// counted is a batch that counts what kinds it holds, and its unlikely readings.
type counted struct {
	logbook.Batch
	byKind     map[string]int
	parameters map[string]logbook.Parameter
	unlikely   int
	warnings   []string // of the first few unlikely readings
}

// mostWarnings is how many unlikely readings of a file are named.
const mostWarnings = 5

func newCounted(known []logbook.Parameter) *counted {
	c := &counted{byKind: map[string]int{}, parameters: map[string]logbook.Parameter{}}
	for _, p := range known {
		c.parameters[p.Name] = p
	}
	return c
}

func (c *counted) add(rec logbook.Record) error {
	c.byKind[string(rec.Kind())]++
	if r, is := rec.(*logbook.Reading); is {
		c.look(r)
	}
	return c.Batch.Add(rec)
}

// look counts a reading that lies outside the usual range of its parameter.
func (c *counted) look(r *logbook.Reading) {
	p, known := c.parameters[r.Parameter]
	if !known || p.AskLow <= r.Value && r.Value <= p.AskHigh {
		return
	}
	why, yes := logbook.Unlikely(p, *r)
	if !yes {
		return
	}
	c.unlikely++
	if len(c.warnings) < mostWarnings {
		c.warnings = append(c.warnings, fmt.Sprintf("%s %s %s: %s", whenText(r.Time), r.Tank, p.Name, why))
	}
}

// warnUnlikely names the unlikely readings of a file; they are kept all the same.
func (a *app) warnUnlikely(c *counted) {
	for _, w := range c.warnings {
		a.say("warning: %s", oneLine(w))
	}
	if more := c.unlikely - len(c.warnings); more > 0 {
		a.say("warning: and %d more unlikely readings", more)
	}
}

func (a *app) openInput(name string) (io.ReadCloser, error) {
	if name == "-" {
		return io.NopCloser(a.in), nil
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, readError(name, err)
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Close()
		return nil, fmt.Errorf("%s: it is a directory", name)
	}
	return f, nil
}

const (
	spareUpTo = 64 << 20  // a file of this size, over a million rows, has room in spareHeap
	spareHeap = 420 << 20 // bytes
)

// spareCollector puts the garbage collector off for the import of a file that fits into memory as it is: an import keeps
// nearly all that it allocates until the commit, and looking through it again and again takes a third of the time. The
// limit holds the process under half a gigabyte all the same.
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

// readError names the file once, whatever the system's own error says.
func readError(name string, err error) error {
	var p *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: there is no such file", name)
	case errors.As(err, &p):
		return fmt.Errorf("%s: %w", name, p.Err)
	}
	return err
}

// recognise tells JSON Lines from CSV by the first character that says anything.
func recognise(in *bufio.Reader) string {
	head, _ := in.Peek(512)
	head = bytes.TrimPrefix(head, []byte("\ufeff"))
	head = bytes.TrimLeft(head, "\xff\xfe\x00 \t\r\n")
	if bytes.HasPrefix(head, []byte("{")) {
		return "jsonl"
	}
	return "csv"
}

// known is what a file's readings are read by: what the book knows, and what was said on the command line.
type known struct {
	parameters      []logbook.Parameter
	tank, parameter string
	zone            func(tank string) *time.Location
}

func (a *app) knownFor(opt importOptions) (known, error) {
	k := known{parameters: logbook.Standard(), tank: a.tankFlag, parameter: opt.parameter}
	zones := map[string]*time.Location{}
	k.zone = func(tank string) *time.Location {
		if zone, ok := zones[tank]; ok {
			return zone
		}
		return time.UTC
	}
	path, err := a.bookPath()
	if err != nil {
		return k, err
	}
	if _, err := os.Lstat(path); err == nil {
		err := a.view(func(v *logbook.View) error {
			tanks, err := v.Tanks()
			if err != nil {
				return err
			}
			for _, t := range tanks {
				zones[t.Name] = t.Zone()
			}
			if len(tanks) == 1 && k.tank == "" {
				k.tank = tanks[0].Name
			}
			k.parameters, err = v.Parameters()
			return err
		})
		if err != nil {
			return k, err
		}
	}
	if opt.parameter != "" {
		p, ok := logbook.FindParameter(k.parameters, opt.parameter)
		if !ok {
			return k, usagef("leadline parameter list shows them", "unknown parameter %q", opt.parameter)
		}
		k.parameter = p.Name
	}
	return k, nil
}

func (a *app) printImported(done importedJSON) error {
	if a.json {
		return a.printJSON(done)
	}
	var kinds []string
	for kind, n := range done.ByKind {
		kinds = append(kinds, kindCount(logbook.Kind(kind), n))
	}
	slices.Sort(kinds)
	detail := ""
	if len(kinds) > 0 {
		detail = " (" + strings.Join(kinds, ", ") + ")"
	}
	if done.DryRun {
		would := ""
		if done.Added != nil {
			would = fmt.Sprintf("; %d would be added, %d are there already", *done.Added, *done.Already)
		}
		a.printf("%s can be read%s%s; nothing was written", plural(done.Records, "record", "records"), detail, would)
		return nil
	}
	a.printf("%d added%s, %d there already", *done.Added, detail, *done.Already)
	for _, t := range done.Tanks {
		a.printf("new tank: %s", oneLine(t))
	}
	return nil
}
