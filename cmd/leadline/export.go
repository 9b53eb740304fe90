package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"leadline/logbook"
)

type exportOptions struct {
	output, since string
	force         bool
	table         tableOptions
	post          postOptions
}

func newExport(a *app) *cobra.Command {
	var opt exportOptions
	cmd := &cobra.Command{
		Use:   "export csv|jsonl|post",
		Short: "write the readings as CSV, the whole book as JSON Lines, or a post for a forum",
		Long: `Write a file for elsewhere. JSON Lines holds every record. CSV holds the readings, as they were typed and to the byte:
read back, it is the same book. The flags that convert, move or leave out make a table for somebody else, and one that is read
back gives new readings.

--spreadsheet makes a table that a spreadsheet program can be given without care: text that it would take for a formula, a number or
a day gets a ' in front, which leadline import takes off again. Of the decimal comma and the semicolon that goes with it import has to be told.`,
		Example: `  # every record, for another book
  leadline export jsonl -o leadline.jsonl

  # this year's readings of one tank, for a spreadsheet: a row for each test, a column for each parameter
  leadline export csv --tank forereef --since 2026-01-01 --spreadsheet --wide --wall-clock -o forereef.csv

  # for a spreadsheet in a country that writes 0,03
  leadline export csv --spreadsheet --wide --wall-clock --decimal-comma --units po4='ppb P' -o forereef.csv

  # what a helper on a forum asks for, without names, and the readings beside it
  leadline export post --tank forereef --private --csv readings.csv`,
		Args:      cobra.MatchAll(cobra.ExactArgs(1), cobra.OnlyValidArgs),
		ValidArgs: []string{"csv", "jsonl", "post"},
		RunE:      func(_ *cobra.Command, args []string) error { return a.export(args[0], opt) },
	}
	f := cmd.Flags()
	f.StringVarP(&opt.output, "output", "o", "", "`FILE` to write (else standard output)")
	f.StringVar(&opt.since, "since", "", "only what is from this `TIME` on")
	f.BoolVar(&opt.force, "force", false, "replace the file if it is there")
	opt.table.flags(cmd)
	opt.post.flags(cmd)
	return cmd
}

func (a *app) export(format string, opt exportOptions) error {
	switch {
	case a.json && format != "jsonl":
		return usagef("leadline export jsonl is the whole book as JSON; leadline status --json has the numbers of a post", "leadline export %s prints no JSON", format)
	case format == "post" && !opt.table.set():
		return a.post(opt)
	case format != "post" && opt.post.set():
		return usagef("leadline export post has them", "--format, --private and --csv belong to a post")
	case format != "csv" && opt.table.set():
		return usagef("leadline export csv has them", "--wide, --columns, --units, --timezone, --wall-clock, --delimiter, --decimal-comma and --spreadsheet belong to CSV")
	}
	book, err := a.book()
	if err != nil {
		return err
	}
	write := func(w io.Writer) error {
		return book.View(func(v *logbook.View) error {
			opt, err := a.exportOf(v, opt)
			if err != nil {
				return err
			}
			if format == "csv" {
				return logbook.WriteCSV(w, v, opt)
			}
			return logbook.WriteJSONL(w, v, opt)
		})
	}
	if opt.output == "" || opt.output == "-" {
		return a.spool(a.out, write)
	}
	return a.writeFile(opt.output, opt.force, write)
}

func (a *app) exportOf(v *logbook.View, opt exportOptions) (logbook.ExportOptions, error) {
	out, err := opt.table.export(v)
	if err != nil {
		return out, err
	}
	tanks, err := a.tanks(v)
	if err != nil {
		return out, err
	}
	zone := time.UTC
	if len(tanks) == 1 {
		zone = tanks[0].Zone()
	}
	if a.tankFlag != "" {
		out.Tank = tanks[0].Name
	}
	out.Since, err = sinceTime(opt.since, zone)
	return out, err
}

// spool writes to a temporary file first and from there to its reader: one that takes its time, such as a pager, must
// not keep the book from being written to.
func (a *app) spool(to io.Writer, write func(io.Writer) error) error {
	const name = "leadline-export-*"
	left, _ := fs.Glob(os.DirFS(os.TempDir()), name) // by a kill, where a file cannot go without its name
	for _, old := range left {
		os.Remove(filepath.Join(os.TempDir(), old))
	}
	f, err := os.CreateTemp("", name)
	if err != nil {
		return err
	}
	a.leaveBehind(f.Name())
	os.Remove(f.Name())
	defer f.Close()
	if err := buffered(f, write); err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	if to == a.out && isTerminal(a.rawOut) {
		return a.copyCleaned(f)
	}
	_, err = io.Copy(to, f)
	return err
}

// copyCleaned shows an export on a terminal, where what others wrote must not be taken for a command.
func (a *app) copyCleaned(r io.Reader) error {
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, 1<<26)
	for lines.Scan() {
		if _, err := fmt.Fprintln(a.out, logbook.Clean(lines.Text())); err != nil {
			return err
		}
	}
	return lines.Err()
}

// writeFile makes every file that leaves the program. It appears whole or not at all, and is written through a link.
// It is for its owner alone, as the book is; one that is replaced keeps who may read it. What begins like a book is
// never replaced.
func (a *app) writeFile(path string, force bool, write func(io.Writer) error) error {
	mode := fs.FileMode(0o600)
	if info, err := os.Stat(path); err == nil {
		switch mode = info.Mode(); {
		case mode.IsDir():
			return fmt.Errorf("%s: it is a directory", path)
		case mode.Type() == fs.ModeDevice:
			return fmt.Errorf("%s: it is a disk", path)
		case !mode.IsRegular():
			return a.writeInto(path, write)
		}
		is, err := logbook.BeginsLikeBook(path)
		switch {
		case err != nil:
			return readError(path, err)
		case is:
			return withHint(fmt.Errorf("%s: it is a logbook, which nothing replaces but leadline restore", path), "name another file")
		case !force:
			return withHint(fmt.Errorf("%s: it is there already", path), "--force replaces it")
		}
	}
	part, err := logbook.NewPart(path)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: there is no such folder", path)
	}
	if err != nil {
		return readError(path, err)
	}
	a.leaveBehind(part.Name())
	defer part.Drop()
	err = buffered(part, write)
	if err == nil {
		err = part.Chmod(mode.Perm())
	}
	if err == nil {
		err = part.Place(force)
	}
	return ofFile(path, part.Name(), err)
}

// writeInto writes to what is no file on a disk: a pipe or a device.
func (a *app) writeInto(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return readError(path, err)
	}
	defer f.Close()
	return ofFile(path, f.Name(), a.spool(f, write))
}

// ofFile names a file as it was typed in what the system says of it; what went wrong elsewhere stays as it is.
func ofFile(typed, name string, err error) error {
	var at *fs.PathError
	if errors.As(err, &at) && at.Path == name {
		return readError(typed, at)
	}
	return err
}

func buffered(w io.Writer, write func(io.Writer) error) error {
	b := bufio.NewWriterSize(w, 1<<16)
	if err := write(b); err != nil {
		return err
	}
	return b.Flush()
}
