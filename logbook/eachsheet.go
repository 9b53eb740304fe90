package logbook

import (
	"fmt"
	"io"
	"strings"

	"leadline/logbook/sheet"
)

// EachSheet is EachCSV for one sheet of a spreadsheet, xlsx or ods: the one that opt.Sheet names, else the only one
// that is shown and holds anything. A day or time in a cell is what a clock on the wall showed, in the tank's zone.
// Refusals name sheet and cell.
func EachSheet(r io.ReaderAt, size int64, opt CSVOptions, fn func(Record) error) error {
	file, err := sheet.Read(r, size, func(name string, hidden bool) bool {
		return opt.Sheet == "" && !hidden || opt.Sheet != "" && foldName(name) == foldName(opt.Sheet)
	})
	if err != nil {
		return Refusals{{File: opt.File, Reason: err.Error(), Hint: "save it anew as xlsx or ods, or as CSV"}}
	}
	chosen, err := chooseSheet(file, opt)
	if err != nil {
		return err
	}
	f := newCSVFile(opt, &sheetRows{rows: chosen.Rows}, fn)
	f.refusals.sheet, f.notes.Sheet = chosen.Name, chosen.Name
	return f.read()
}

func chooseSheet(file *sheet.File, opt CSVOptions) (sheet.Sheet, error) {
	var shown, full []string
	var chosen sheet.Sheet
	for _, s := range file.Sheets {
		if opt.Sheet != "" && foldName(s.Name) == foldName(opt.Sheet) {
			return s, nil
		}
		if s.Hidden {
			continue
		}
		shown = append(shown, quote(s.Name))
		if len(s.Rows) > 0 {
			full, chosen = append(full, quote(s.Name)), s
		}
	}
	refused := Refusal{File: opt.File, Value: opt.Sheet, Hint: "--sheet NAME names one"}
	switch {
	case opt.Sheet != "":
		refused.Reason = fmt.Sprintf("there is no sheet %s; those shown are %s", quote(opt.Sheet), strings.Join(shown, ", "))
	case len(full) == 0:
		refused.Reason = "no sheet that is shown holds anything"
	case len(full) > 1:
		refused.Reason = "several sheets hold something: " + strings.Join(full, ", ")
	default:
		return chosen, nil
	}
	return sheet.Sheet{}, Refusals{refused}
}

// sheetRows gives the rows of a sheet, those behind the header as long as it at least.
type sheetRows struct {
	tableRow
	rows  []sheet.Row
	width int
}

func (s *sheetRows) row() *tableRow { return &s.tableRow }

func (s *sheetRows) header(width int) { s.width = width }

func (s *sheetRows) next() (more bool, err error) {
	if len(s.rows) == 0 {
		return false, nil
	}
	row := s.rows[0]
	s.rows = s.rows[1:]
	s.line, s.fields = row.Number, s.fields[:0]
	for _, c := range row.Cells {
		s.fields = append(s.fields, csvField{text: []byte(c.Text), number: c.Number, merged: c.Merged, problem: c.Problem})
	}
	for len(s.fields) < s.width {
		s.fields = append(s.fields, csvField{})
	}
	return true, nil
}
