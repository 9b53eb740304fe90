package logbook

import (
	"io"
	"time"
)

// CSVOptions says how a CSV file is to be read.
type CSVOptions struct {
	File         string // its name, for messages
	Parameters   []Parameter
	Tank         string                           // where the file has no tank column, or the cell is empty
	Parameter    string                           // likewise
	Unit         string                           // likewise; "" is the canonical unit
	Method       string                           // likewise
	Zone         func(tank string) *time.Location // for times without an offset; nil means UTC
	Order        DateOrder
	Map          map[string]string // field -> name of its column; fields: time, date, tank, parameter, value, unit, method, note, censored
	Ignore       []string          // names of columns to leave out
	DecimalComma bool
	Comma        rune // 0: comma, semicolon or tab, whichever the header shows
}

// EachCSV hands every reading of a CSV file to fn as a *Reading, which is overwritten by the next.
func EachCSV(r io.Reader, opt CSVOptions, fn func(Record) error) error { return errUnwritten }

// ReadCSV is EachCSV collected.
func ReadCSV(r io.Reader, opt CSVOptions) ([]Record, error) { return nil, errUnwritten }

// ExportOptions says what of a book is written.
type ExportOptions struct {
	Tank        string    // "" means all
	Since       time.Time // zero: from the beginning
	Spreadsheet bool      // CSV: text that a spreadsheet would run as a formula gets a ' in front
}

// WriteCSV writes the readings of a book.
func WriteCSV(w io.Writer, v *View, opt ExportOptions) error { return errUnwritten }
