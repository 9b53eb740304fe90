package importing

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

const (
	followEvery = 500 * time.Millisecond // how often a followed file is looked at
	mostPiece   = 1 << 20                // bytes of it that are imported at a time
)

// follower imports a table and what is appended to it. It remembers nothing that is not in the book: after an end of
// any kind, and whenever the file was rotated, it reads everything that there is again, of which an import knows what
// it has.
type follower struct {
	a      *app.App
	name   string
	opt    importOptions
	buffer []byte
	told   []*toldFile
}

// toldFile is a file, under whatever name, of which the refused rows were told so far.
type toldFile struct {
	os.FileInfo
	at   int64 // bytes
	rows int
}

// toldOf is what was told of a file, which is another one once it was cut.
func (f *follower) toldOf(info os.FileInfo) *toldFile {
	for _, t := range f.told {
		if os.SameFile(t.FileInfo, info) {
			if info.Size() < t.at {
				t.at, t.rows = 0, 0
			}
			return t
		}
	}
	f.told = append(f.told, &toldFile{FileInfo: info})
	return f.told[len(f.told)-1]
}

// followed is a file that is being read.
type followed struct {
	*os.File
	head    []byte // what is put above each piece: the rows up to those of readings; nil before they were seen
	inHead  int    // rows of it
	noTitle bool   // the head is that of the mapping, and not in the file
	at      int64  // how far it is imported, in bytes
	rows    int    // likewise
	ended   bool   // nobody writes to it any more
	size    int64  // when it was opened
	told    *toldFile
}

// follow imports until the program is ended.
func follow(ctx context.Context, a *app.App, name string, opt importOptions) error {
	if name == "-" || opt.dryRun || opt.preview || opt.skipBad != "" || opt.saveMapping != "" ||
		opt.format != "" && opt.format != "csv" {
		return usage.Errorf("leadline import FILE --preview shows how it is read, and --save-mapping keeps that",
			"--follow takes a file of CSV, and goes with none of --dry-run, --preview, --skip-bad and --save-mapping")
	}
	opt, err := withMapping(a, opt)
	if err != nil {
		return err
	}
	if _, err := os.Stat(name); err != nil {
		return usage.ReadError(name, err)
	}
	f := follower{a: a, name: name, opt: opt, buffer: make([]byte, mostPiece)}
	for {
		for _, old := range rotated(name) {
			if err := f.read(ctx, old, false); err != nil {
				return err
			}
		}
		if err := f.read(ctx, name, true); err != nil {
			return err
		}
	}
}

// rotated are the files that a file became before, such as log.1 or log-20260307, the oldest first.
func rotated(name string) (old []string) {
	isOld := regexp.MustCompile(`^` + regexp.QuoteMeta(filepath.Base(name)) + `[-.]\d+$`)
	written := map[string]time.Time{}
	files, _ := os.ReadDir(filepath.Dir(name))
	for _, f := range files {
		if info, err := f.Info(); err == nil && info.Mode().IsRegular() && isOld.MatchString(f.Name()) {
			path := filepath.Join(filepath.Dir(name), f.Name())
			old, written[path] = append(old, path), info.ModTime()
		}
	}
	slices.SortStableFunc(old, func(a, b string) int { return written[a].Compare(written[b]) })
	return old
}

// read imports a file; the one that is written to until another has taken its place.
func (f *follower) read(ctx context.Context, name string, goesOn bool) error {
	file, err := os.Open(name)
	switch {
	case errors.Is(err, fs.ErrNotExist) && goesOn:
		return f.wait(ctx)
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return usage.ReadError(name, err)
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return usage.ReadError(name, err)
	}
	of := &followed{File: file, size: info.Size(), told: f.toldOf(info)}
	for {
		more, err := f.piece(of)
		switch {
		case errors.Is(err, logbook.ErrBusy):
			err = f.wait(ctx)
		case err != nil || more:
		case !of.ended && of.replaced(f.name):
			of.ended = true // once its last lines are in
		case of.ended || !goesOn:
			return nil
		default:
			err = f.wait(ctx)
		}
		if err != nil {
			return err
		}
	}
}

func (f *follower) wait(ctx context.Context) error {
	select {
	case <-ctx.Done():
		return app.ErrInterrupted
	case <-time.After(followEvery):
		return nil
	}
}

// replaced reports whether a name leads to another file now, or the file was cut. Whoever writes may still write to the
// old one until there is something in the new one.
func (of *followed) replaced(name string) bool {
	now, err := os.Stat(name)
	if err != nil {
		return false
	}
	own, err := of.Stat()
	return err == nil && (own.Size() < of.at || !os.SameFile(own, now) && now.Size() > 0)
}

// piece imports the next whole lines, and of a file that ended the last one as it is; false where there are none yet.
func (f *follower) piece(of *followed) (more bool, err error) {
	n, err := of.ReadAt(f.buffer, of.at)
	if err != nil && !errors.Is(err, io.EOF) {
		return false, usage.ReadError(f.name, err)
	}
	text := f.buffer[:bytes.LastIndexByte(f.buffer[:n], '\n')+1]
	if of.ended && n > len(text) && n < len(f.buffer) {
		text = append(f.buffer[:n], '\n')
	}
	if len(text) == 0 && n == len(f.buffer) {
		return false, fmt.Errorf("%s: a line of more than %d bytes", f.name, n)
	}
	if of.head == nil {
		if text, err = f.takeHead(of, text); err != nil {
			return false, err
		}
	}
	if len(text) == 0 {
		return false, nil
	}
	opt := f.opt
	if of.noTitle {
		opt.Skip = 0
	}
	opt.told, opt.wasThere = of.told.rows, of.at < of.size
	in := &input{shown: of.Name(), format: "csv", text: io.MultiReader(bytes.NewReader(of.head), bytes.NewReader(text)),
		above: of.rows - of.inHead}
	known, err := knownFor(f.a, opt)
	if err == nil {
		err = importInput(f.a, in, known, opt)
	}
	if err != nil {
		return false, err
	}
	f.opt.said = true
	of.at, of.rows = of.at+int64(len(text)), of.rows+bytes.Count(text, []byte("\n"))
	of.told.at, of.told.rows = max(of.told.at, of.at), max(of.told.rows, of.rows)
	return true, f.a.Out.Flush()
}

// takeHead finds the rows up to those of readings, and gives the text behind them: the header, and a row of units, in
// which no digit stands. Where the header of the saved mapping does not stand there, the file has none.
func (f *follower) takeHead(of *followed, text []byte) ([]byte, error) {
	lines := bytes.SplitAfter(text, []byte("\n"))
	n := f.opt.Skip + 1
	if len(lines) <= n {
		return nil, nil
	}
	if saved := f.opt.Header; len(saved) > 0 {
		isHeader := func(comma rune) bool { return slices.EqualFunc(fieldsOf(lines[n-1], comma), saved, strings.EqualFold) }
		fits := func(comma rune) bool { return len(fieldsOf(lines[0], comma)) == len(saved) }
		commas := []rune(",;\t")
		i := slices.IndexFunc(commas, fits)
		switch {
		case slices.ContainsFunc(commas, isHeader):
		case i < 0:
			return nil, fmt.Errorf("%s: its rows are not of the %d columns of the mapping %s", f.name, len(saved),
				f.opt.usedMapping)
		default:
			var head bytes.Buffer
			w := csv.NewWriter(&head)
			w.Comma = commas[i]
			err := w.WriteAll([][]string{saved})
			of.head, of.inHead, of.noTitle = head.Bytes(), 1, true
			return text, err
		}
	}
	if len(lines) == n+1 { // which does not yet say whether units follow
		return nil, nil
	}
	if !bytes.ContainsAny(lines[n], "0123456789") {
		n++
	}
	of.head, of.inHead, of.rows = bytes.Clone(bytes.Join(lines[:n], nil)), n, n
	of.at = int64(len(of.head))
	return text[len(of.head):], nil
}

// fieldsOf are the fields of a row between commas or the like.
func fieldsOf(row []byte, comma rune) []string {
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(row, []byte("\ufeff"))))
	r.Comma, r.LazyQuotes = comma, true
	fields, _ := r.Read()
	return words.Of(fields, strings.TrimSpace)
}
