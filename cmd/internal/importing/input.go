package importing

import (
	"bufio"
	"bytes"
	"cmp"
	"fmt"
	"io"
	"os"
	"time"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/terminal"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// input is a file to import, open and recognised.
type input struct {
	shown  string // its name, for messages
	format string // csv, jsonl, xlsx or ods
	text   io.Reader
	packed io.ReaderAt // of a spreadsheet
	above  int         // lines of the file before its first one here
	size   int64
	io.Closer
}

// mostPacked is the most bytes of a spreadsheet that is taken from standard input, which has to be kept as a whole.
const mostPacked = 64 << 20

// openInput opens a file, or standard input, and shows how far it is read.
func openInput(a *app.App, name, format string) (*input, error) {
	in := &input{shown: name, format: format, Closer: io.NopCloser(nil)}
	var r io.Reader = a.In
	if name == "-" {
		in.shown = "standard input"
	} else {
		f, err := os.Open(name)
		if err != nil {
			return nil, usage.ReadError(name, err)
		}
		in.Closer, r = f, f
		if info, err := f.Stat(); err == nil && info.IsDir() {
			in.Close()
			return nil, fmt.Errorf("%s: it is a directory", name)
		} else if err == nil && info.Mode().IsRegular() {
			in.packed, in.size = f, info.Size()
		}
		spareCollector(f)
	}
	p := a.ShowProgress("reading", in.size)
	b := bufio.NewReaderSize(p.Reader(r), 1<<16)
	in.text = b
	if in.format == "" {
		in.format = recognise(b)
	}
	switch in.format {
	case "csv", "jsonl":
		return in, nil
	case "xlsx", "ods":
		return in, in.pack(b, p)
	}
	in.Close()
	a.EndProgress()
	return nil, usage.Errorf("--format csv, jsonl, xlsx or ods", "--format: %q is not a format that can be read", format)
}

// pack makes a spreadsheet readable at any place.
func (in *input) pack(r io.Reader, p *terminal.Progress) error {
	if in.packed != nil {
		in.packed = p.ReaderAt(in.packed)
		return nil
	}
	all, err := io.ReadAll(io.LimitReader(r, mostPacked+1))
	if err != nil {
		return usage.ReadError(in.shown, err)
	}
	if len(all) > mostPacked {
		return fmt.Errorf("%s: a spreadsheet of more than %d MB", in.shown, mostPacked>>20)
	}
	in.packed, in.size = bytes.NewReader(all), int64(len(all))
	return nil
}

// recognise tells the formats apart by the first characters that say anything. The two sorts of spreadsheet are told
// apart where they are read.
func recognise(in *bufio.Reader) string {
	head, _ := in.Peek(512)
	if bytes.HasPrefix(head, []byte("PK\x03\x04")) {
		return "xlsx"
	}
	head = bytes.TrimPrefix(head, []byte("\ufeff"))
	head = bytes.TrimLeft(head, "\xff\xfe\x00 \t\r\n")
	if bytes.HasPrefix(head, []byte("{")) {
		return "jsonl"
	}
	return "csv"
}

// tableOptions is how a table is to be read.
func (opt importOptions) tableOptions(file string, k known) (logbook.CSVOptions, error) {
	table := logbook.CSVOptions{
		File: file, Parameters: k.parameters, Tank: k.tank, Parameter: k.parameter, Unit: opt.Unit, Units: k.units,
		Method: opt.Method, Zone: k.zone, Map: opt.Map, Ignore: opt.Ignore, Skip: opt.Skip, Sheet: opt.Sheet,
		DecimalComma: opt.DecimalComma, Notes: &logbook.TableNotes{},
	}
	var err error
	if table.Order, err = logbook.ParseDateOrder(opt.DateOrder); err != nil {
		return table, usage.Wrong(fmt.Errorf("--date-order: %w", err), "--date-order dmy or --date-order mdy")
	}
	if opt.Skip < 0 {
		return table, usage.Errorf("--skip 1 passes over a title", "--skip: %d is not a number of rows", opt.Skip)
	}
	table.Comma, err = app.ParseDelimiter("--delimiter", opt.Delimiter)
	return table, err
}

// known is what a file's readings are read by: what the book knows, and what was said on the command line.
type known struct {
	parameters      []logbook.Parameter
	tank, parameter string
	tanks           []logbook.Tank
	units           map[string]string // by name of the parameter
	given           *time.Location    // of --timezone; nil: none
}

// zone is the zone of times without an offset.
func (k known) zone(tank string) *time.Location {
	t, _ := logbook.FindTank(k.tanks, tank)
	return cmp.Or(k.given, t.Zone())
}

func knownFor(a *app.App, opt importOptions) (known, error) {
	k := known{parameters: logbook.Standard(), tank: cmp.Or(a.TankFlag, opt.Tank)}
	var err error
	if k.tank == "" {
		if k.tank, _, err = a.UsualTank(); err != nil {
			return k, err
		}
	}
	if opt.Timezone != "" {
		if k.given, err = app.ParseZone("--timezone", opt.Timezone); err != nil {
			return k, err
		}
	}
	if err := knownOfBook(a, &k); err != nil {
		return k, err
	}
	if opt.Parameter != "" {
		p, err := app.FindAmong(k.parameters, opt.Parameter)
		if err != nil {
			return k, err
		}
		k.parameter = p.Name
	}
	k.units, err = app.UnitsOf(k.parameters, opt.Units)
	return k, err
}

// knownOfBook adds what the book knows, if there is one.
func knownOfBook(a *app.App, k *known) error {
	path, err := a.BookPath()
	if err != nil {
		return err
	}
	if _, err := os.Lstat(path); err != nil {
		return nil
	}
	return a.View(func(v *logbook.View) (err error) {
		if k.tanks, err = v.Tanks(); err != nil {
			return err
		}
		if len(k.tanks) == 1 && k.tank == "" {
			k.tank = k.tanks[0].Name
		}
		k.parameters, err = v.Parameters()
		return err
	})
}
