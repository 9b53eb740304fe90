// Package sheet reads the cells of spreadsheets, xlsx (ECMA-376, Office Open XML) and ods (OpenDocument 1.3), as text.
//
// It is small on purpose. The library that is common for xlsx costs every start of the program 2.6 ms and 1.3 MB of
// memory before main, and 7 MB of binary; a keeper's table needs its cells and nothing else. Formulas are not worked
// out: their value is the one that the spreadsheet program left in the file.
//
// A file is the work of others: what is unpacked of it, the number of cells and the depth of elements have limits.
package sheet

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strconv"
	"strings"
)

// Cell is one cell with something in it.
type Cell struct {
	Text    string
	Number  bool   // the file says that it is a number
	Merged  bool   // it is merged with the cell above it and bears that one's text
	Problem string // why there is no text; "" if there is
}

// Row is one row with something in it. Cells are empty where nothing stands; the last one is not.
type Row struct {
	Number int // as the spreadsheet counts, from 1
	Cells  []Cell
}

// Sheet is one sheet of a file.
type Sheet struct {
	Name   string
	Hidden bool
	Rows   []Row
}

// File is a spreadsheet that was read.
type File struct{ Sheets []Sheet }

// The limits. A sheet of a minute's readings over two years has a million rows; what is larger is not a keeper's table.
const (
	mostBytes  = 128 << 20 // unpacked, of all that is read of a file
	smallPart  = 8 << 20   // unpacked, of a part that only describes others
	mostCells  = 4_000_000
	mostSheets = 1000
	mostRows   = 1 << 20
	mostCols   = 1 << 14
	mostDepth  = 256     // of elements in one another; of spreadsheet programs not 20
	mostText   = 1 << 15 // bytes of one cell; spreadsheets allow 32,767 characters
)

// ErrUnknown is of a file that is no spreadsheet of either sort.
var ErrUnknown = errors.New("it is neither xlsx nor ods")

// Read reads a file. Sheets whose name is not wanted are left empty; wanted nil means that all are read.
func Read(r io.ReaderAt, size int64, wanted func(name string, hidden bool) bool) (*File, error) {
	return readWithin(r, size, wanted, mostBytes, mostCells)
}

func readWithin(r io.ReaderAt, size int64, wanted func(string, bool) bool, bytes int64, cells int) (*File, error) {
	z, err := zip.NewReader(r, size)
	if err != nil {
		return nil, fmt.Errorf("the file is damaged: %w", err)
	}
	a := &archive{parts: map[string]*zip.File{}, left: bytes, cells: cells}
	for _, f := range z.File {
		a.parts[strings.TrimPrefix(f.Name, "/")] = f
	}
	if wanted == nil {
		wanted = func(string, bool) bool { return true }
	}
	switch {
	case a.parts["content.xml"] != nil:
		return readODS(a, wanted)
	case a.parts["[Content_Types].xml"] != nil && a.parts["_rels/.rels"] != nil:
		return readXLSX(a, wanted)
	}
	return nil, ErrUnknown
}

// archive is the packed file, and how much more of it may be read.
type archive struct {
	parts map[string]*zip.File
	left  int64
	cells int
}

// errTooLarge is of a file, or a bomb, that is larger than any table of readings.
var errTooLarge = errors.New("unpacked, it is larger than 128 MB, or has more than 4 million cells")

var errDeep = fmt.Errorf("its elements stand more than %d deep in one another", mostDepth)

// open gives the text of a part; nil if there is none.
func (a *archive) open(name string) (io.ReadCloser, error) {
	f := a.parts[name]
	if f == nil {
		return nil, nil
	}
	in, err := f.Open()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return &limited{in, a}, nil
}

// limited counts what is read of all parts together.
type limited struct {
	io.ReadCloser
	a *archive
}

func (l *limited) Read(p []byte) (int, error) {
	if l.a.left <= 0 {
		return 0, errTooLarge
	}
	if int64(len(p)) > l.a.left {
		p = p[:l.a.left]
	}
	n, err := l.ReadCloser.Read(p)
	l.a.left -= int64(n)
	return n, err
}

func (a *archive) takeCells(n int) error {
	if a.cells -= n; a.cells < 0 {
		return errTooLarge
	}
	return nil
}

// resolve finds a part that another one names.
func resolve(folder, target string) string {
	if strings.HasPrefix(target, "/") {
		return strings.TrimPrefix(path.Clean(target), "/")
	}
	return path.Join(folder, target)
}

// Place is the name of a cell, such as C14; column 0 is A.
func Place(row, column int) string {
	name := ""
	for column++; column > 0; column = (column - 1) / 26 {
		name = string(rune('A'+(column-1)%26)) + name
	}
	return name + strconv.Itoa(row)
}

// parsePlace reads C14 as row 14, column 2; ok is false if it is no place.
func parsePlace(s string) (row, column int, ok bool) {
	i := 0
	for ; i < len(s) && s[i] >= 'A' && s[i] <= 'Z' && column <= mostCols; i++ {
		column = column*26 + int(s[i]-'A') + 1
	}
	letters := i
	for ; i < len(s) && s[i] >= '0' && s[i] <= '9' && row <= mostRows; i++ {
		row = row*10 + int(s[i]-'0')
	}
	return row, column - 1, i == len(s) && letters > 0 && i > letters && row >= 1 && row <= mostRows && column >= 1 &&
		column <= mostCols
}

// put puts a cell into a row.
func (r *Row) put(column int, c Cell) {
	for len(r.Cells) <= column {
		r.Cells = append(r.Cells, Cell{})
	}
	r.Cells[column] = c
}

func (c Cell) empty() bool { return c.Text == "" && c.Problem == "" }

func (r *Row) trim() {
	for len(r.Cells) > 0 && r.Cells[len(r.Cells)-1].empty() {
		r.Cells = r.Cells[:len(r.Cells)-1]
	}
}

// merge is a block of cells that were made one; its text stands in the first.
type merge struct{ top, bottom, column int }

// mergeDown gives the cells of a merged block the text of the first, in its own column: so a day that was written once
// for several rows holds for all of them. Blocks across columns alone keep their text in the first one. Empty rows go.
func mergeDown(rows []Row, merges []merge, a *archive, err error) ([]Row, error) {
	if err != nil {
		return nil, err
	}
	kept := rows[:0]
	for _, r := range rows {
		if r.trim(); len(r.Cells) > 0 {
			kept = append(kept, r)
		}
	}
	for _, m := range merges {
		first, ok := slices.BinarySearchFunc(kept, m.top, func(r Row, number int) int { return r.Number - number })
		if !ok || m.column >= len(kept[first].Cells) {
			continue
		}
		c := kept[first].Cells[m.column]
		if c.Merged = true; c.empty() {
			continue
		}
		for i := first + 1; i < len(kept) && kept[i].Number <= m.bottom; i++ {
			row := &kept[i]
			// A file may merge the same cells again and again: each time counts.
			if err := a.takeCells(max(1, m.column+1-len(row.Cells))); err != nil {
				return nil, err
			}
			row.put(m.column, c)
		}
	}
	return kept, nil
}
