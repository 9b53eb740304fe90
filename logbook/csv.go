package logbook

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// CSVOptions says how a CSV file is to be read.
type CSVOptions struct {
	File       string      // its name, for messages
	Parameters []Parameter // those the book knows

	// What stands for a column that the file has not, or for an empty cell of it.
	Tank, Parameter, Unit, Method string
	Units                         map[string]string // by name of the parameter, of values that name none

	Zone         func(tank string) *time.Location // for times without an offset; nil: UTC
	Order        DateOrder                        // of dates such as 07/03/2026
	Map          map[string]string                // field or parameter -> name of the column that holds it; see csvFields
	Ignore       []string                         // names of columns to leave out
	Skip         int                              // rows above the header, such as a title, to pass over
	DecimalComma bool                             // values are written 0,03
	SkipBad      bool                             // what is refused below the header is left out, and is Notes.LeftOut
	// comma, semicolon or tab between the fields; 0: whichever the header shows
	Comma rune
	Sheet string // of a spreadsheet with several; see EachSheet

	Later func(tank string, at time.Time, from TimeFrom) error // refuses a time that has not come yet; nil: none is

	Notes *TableNotes // filled with how the table was understood; may be nil
}

// csvHeader is the header of the long form, as it is written.
const csvHeader = "time,tank,parameter,value,unit,method,note"

// EachCSV hands every reading of a CSV file to fn, as a *Reading that is overwritten by the next. The file is in the
// long form, one reading a row, with the columns of csvHeader in any order (and "censored", in which true means below
// the value); or in the wide form, a spreadsheet with a date column and one column for each parameter.
//
// All of the file is read even where something is refused, also by fn, so that every fault is told at once; fn is not
// called any more after the first one. The error is then Refusals. An error of r is given back as it is. A header alone
// is a file of no readings.
func EachCSV(r io.Reader, opt CSVOptions, fn func(Record) error) error {
	text, err := utf8Text(r, opt.File)
	if err != nil {
		return err
	}
	b := bufio.NewReaderSize(text, 64<<10)
	comma, rival, above, err := findComma(b, opt)
	if err != nil {
		return err
	}
	rows := newCSVRows(b, comma)
	if above > 0 {
		_, _ = b.Discard(above) // it was looked at, so it is there
		rows.lines = 1
	}
	f := newCSVFile(opt, rows, fn)
	f.comma, f.rival, f.notes.Delimiter = comma, rival, rune(comma)
	return f.read()
}

func newCSVFile(opt CSVOptions, rows tableRows, fn func(Record) error) *csvFile {
	f := &csvFile{opt: opt, fn: fn, rows: rows, row: rows.row(), notes: opt.Notes,
		typed: newTyped(opt.Parameters), refusals: refusalList{file: opt.File}}
	if f.notes == nil {
		f.notes = &TableNotes{}
	}
	*f.notes = TableNotes{OwnUnit: map[string]int{}, Zoneless: map[string]int{}}
	return f
}

type csvFile struct {
	opt      CSVOptions
	fn       func(Record) error
	comma    byte // 0: a sheet
	rival    byte // a delimiter that would cut the header as well; 0: none
	rows     tableRows
	row      *tableRow // that of rows
	header   csvColumns
	notes    *TableNotes
	typed    *typed
	refusals refusalList
	reading  Reading

	headRefused bool // by the row of units
	handed      int  // readings that were taken

	commaLine, pointLine int // the first with a decimal comma or point; see decimals
}

// read reads all of it. What was refused is the error, unless the file itself cannot be read.
func (f *csvFile) read() error {
	more, err := f.rows.next()
	for range f.opt.Skip {
		if more && err == nil {
			f.leaveRow()
			more, err = f.rows.next()
		}
	}
	switch {
	case err != nil:
		return err
	case !more:
		f.refuse(Refusal{Reason: "the file is empty", Hint: headerHint})
	case f.row.problem != nil:
		f.refuse(*f.row.problem)
	case f.readHeader():
		f.leaveRow()
		if more, err = f.rows.next(); more && err == nil && f.takeUnits() {
			f.leaveRow()
			more, err = f.rows.next()
		}
		f.noteColumns()
		for more && err == nil && (f.opt.SkipBad || !f.refusals.full) {
			values, handed, refused := f.values(), f.handed, len(f.refusals.all)
			if f.readRow(); len(f.refusals.all) > refused && f.opt.SkipBad {
				f.notes.LeftReadings += max(1, values-f.handed+handed) // 1: of a row that cannot be told apart
				f.leaveRow()
			}
			more, err = f.rows.next()
		}
		if err != nil {
			return err
		}
		if f.opt.SkipBad && !f.headRefused {
			f.notes.LeftOut = f.refusals.all
			return nil
		}
	}
	return f.refusals.err()
}

// leaveRow keeps the row as it stands, for the file of what was left out. The rows above the data are kept with it, so
// that it is read as the table is.
func (f *csvFile) leaveRow() {
	row := f.row.raw
	if row == nil {
		for i, c := range f.row.fields {
			if i > 0 {
				row = append(row, ';')
			}
			row = appendCSVField(row, string(c.text))
		}
	}
	if f.notes.LeftRows = append(f.notes.LeftRows, row...); !bytes.HasSuffix(row, []byte("\n")) {
		f.notes.LeftRows = append(f.notes.LeftRows, '\n')
	}
}

// values is how many readings the row tells.
func (f *csvFile) values() (n int) {
	tells := func(column int) bool {
		if column < 0 || column >= len(f.row.fields) {
			return false
		}
		text := f.cell(column)
		return f.row.fields[column].problem != "" || len(text) > 0 && !isDash(text)
	}
	if tells(f.header.value) {
		n++
	}
	for _, w := range f.header.wide {
		if tells(w.column) {
			n++
		}
	}
	return n
}

func (f *csvFile) refuse(r Refusal) { f.refusals.add(f.row.line, r) }

// refuseCell refuses what stands in a column. The error says why, its place is added here. It gives false.
func (f *csvFile) refuseCell(column int, err error) bool {
	r := asRefusal(err)
	r.Column, r.Field = column+1, f.header.name(column)
	f.refuse(r)
	return false
}

// cell is the text of a column; blanks around it count only inside quotation marks. Column -1 is empty.
func (f *csvFile) cell(column int) []byte {
	if column < 0 {
		return nil
	}
	c := f.row.fields[column]
	if c.quoted {
		return c.text
	}
	return trimBytes(c.text)
}

func trimBytes(b []byte) []byte {
	if len(b) == 0 || (b[0] > ' ' && b[0] < 0x80 && b[len(b)-1] > ' ' && b[len(b)-1] < 0x80) {
		return b
	}
	return []byte(trim(string(b)))
}

func (f *csvFile) readRow() {
	fields := f.row.fields
	if f.row.problem != nil {
		r := *f.row.problem
		if r.Column > 0 {
			r.Field = f.header.name(r.Column - 1)
		}
		f.refuse(r)
		return
	}
	full := func(c csvField) bool { return c.quoted || c.problem != "" || len(trimBytes(c.text)) > 0 }
	if !slices.ContainsFunc(fields, full) { // all delimiters, as spreadsheets leave them
		return
	}
	if n := len(f.header.names); len(fields) != n {
		r := Refusal{Reason: fmt.Sprintf("the row has %d fields, the header %d", len(fields), n)}
		if len(fields) == 1 {
			r.Reason = fmt.Sprintf("the row has 1 field, the header %d", n)
		}
		if len(fields) > n && f.comma == ',' {
			r.Hint = "put fields that hold a comma in quotation marks"
		}
		f.refuse(r)
		return
	}
	for i, name := range f.header.names {
		if name == "" && len(f.cell(i)) > 0 && !fields[i].merged {
			f.refuseCell(i, refuse(string(fields[i].text), "", "%s stands in a column without a name",
				quote(string(fields[i].text))))
			return
		}
		if fields[i].problem != "" && !f.header.ignored[i] {
			f.refuseCell(i, Refusal{Reason: fields[i].problem})
			return
		}
	}
	before := len(f.refusals.all)
	r := &f.reading
	*r = Reading{}
	if r.Tank = f.typed.keep(f.textOr(f.header.tank, f.opt.Tank)); r.Tank == "" {
		f.refuseCell(f.header.tank, refuse("", "pass --tank NAME for rows that name none", "the tank is empty"))
	}
	f.readTime(r)
	r.Method = f.typed.keep(f.textOr(f.header.method, f.opt.Method))
	r.Who = f.typed.keep(f.textOr(f.header.who, ""))
	if f.header.note >= 0 {
		r.Note = f.typed.keep(f.unguard(fields[f.header.note].text))
	}
	if f.header.wide == nil {
		f.readLong(r, before)
	} else {
		f.readWide(r, before)
	}
}

// textOr is a cell of words, or what stands for it when it is empty.
func (f *csvFile) textOr(column int, otherwise string) []byte {
	if b := f.unguard(f.cell(column)); len(b) > 0 {
		return b
	}
	return []byte(otherwise)
}

func (f *csvFile) unguard(b []byte) []byte {
	plain, guarded := unguard(b)
	if guarded {
		f.notes.Unguarded++
	}
	return plain
}

func (f *csvFile) readTime(r *Reading) {
	column := f.header.time
	text := f.cell(column)
	if f.header.date >= 0 {
		column = f.header.date
		day := f.cell(column)
		if clock := text; len(clock) > 0 && len(day) > 0 {
			text = append(append(append([]byte{}, day...), ' '), clock...)
		} else if len(clock) == 0 {
			text = day
		}
	}
	if len(text) == 0 {
		f.refuseCell(column, refuse("", "", "the time is empty"))
		return
	}
	f.notes.Last.Time = TimeWhole
	var ok bool
	if r.Time, ok = parseRFC3339(text); !ok || r.Time.Year() <= firstYear || r.Time.Year() >= lastYear {
		zone := time.UTC
		if f.opt.Zone != nil {
			zone = f.opt.Zone(r.Tank)
		}
		var err error
		if r.Time, f.notes.Last.Time, err = parseTime(string(text), zone, f.opt.Order); err != nil {
			refused := asRefusal(err)
			if f.row.fields[column].number {
				refused.Hint = "the cell is a number to the spreadsheet: give it the format of a date there"
			}
			f.refuseCell(column, refused)
			return
		}
	}
	if f.opt.Later != nil {
		if err := f.opt.Later(r.Tank, r.Time, f.notes.Last.Time); err != nil {
			f.refuseCell(column, err)
		}
	}
}

func (f *csvFile) readLong(r *Reading, refusedBefore int) {
	name := f.textOr(f.header.parameter, f.opt.Parameter)
	if len(name) == 0 {
		f.refuseCell(f.header.parameter, refuse("", "pass --parameter NAME for rows that name none",
			"the parameter is empty"))
		return
	}
	p, err := f.typed.parameter(name)
	if err != nil {
		f.refuseCell(f.header.parameter, err)
		return
	}
	unit, from := f.unguard(f.cell(f.header.unit)), UnitCell
	if len(unit) == 0 {
		if unit, from = []byte(f.opt.Units[p.Name]), UnitGiven; len(unit) == 0 {
			unit = []byte(f.opt.Unit)
		}
	}
	if f.readValue(r, p, f.header.value, unit, from) && len(f.refusals.all) == refusedBefore {
		f.hand(r)
	}
}

// readValue reads the value in a column; false where there is none, or it is refused.
func (f *csvFile) readValue(r *Reading, p *typedParameter, column int, unit []byte, from UnitFrom) bool {
	text := f.cell(column)
	f.notes.Last.Comma = ""
	if isDash(text) {
		f.notes.Dashes++
		return false
	}
	if f.row.fields[column].merged {
		f.row.fields[column].text = nil // where the row is left out, its own cell is empty
		return f.refuseCell(column, refuse(string(text), "split the cells, and let each row have its own value",
			"the value is merged with the one above"))
	}
	below, err := f.censored()
	if err != nil {
		return f.refuseCell(f.header.censored, err)
	}
	u, err := p.unit(unit)
	if err != nil {
		if f.header.unit >= 0 {
			column = f.header.unit
		}
		return f.refuseCell(column, err)
	}
	if number, own := p.withUnit(text); own != nil {
		if f.header.unit >= 0 && len(unit) > 0 && own.unit.Canonical(1) != u.unit.Canonical(1) {
			return f.refuseCell(column, refuse(string(text), "", "%s names another unit than the column %s", quote(string(text)),
				Clean(f.header.name(f.header.unit))))
		}
		text, u, from, unit = number, own, UnitBehind, []byte(own.text)
	}
	if text, err = f.decimals(f.row.fields[column], text, u); err != nil {
		return f.refuseCell(column, err)
	}
	if below && (len(text) == 0 || text[0] != '<') {
		text = append([]byte{'<'}, text...)
	}
	if len(text) > computedDigits {
		text = []byte(plainDecimal(string(text)))
	}
	v, err := parseReadingIn(p.Parameter, u.unit, string(text), u.text)
	if err != nil {
		return f.refuseCell(column, err)
	}
	r.Parameter, r.Text, r.Unit, r.Bound, r.Value = p.Name, v.Text, v.Unit, v.Bound, v.Value
	if len(unit) == 0 {
		from = UnitOwn
	}
	f.notes.Last.Unit = from
	return true
}

// isDash reports whether a cell says that nothing was measured.
func isDash(text []byte) bool {
	return len(text) > 0 && (text[0] == '-' || text[0] >= 0x80) && len(bytes.Trim(text, "-\u2013\u2014")) == 0
}

// censored reads the column that says whether the value is a limit below which the true one lies.
func (f *csvFile) censored() (bool, error) {
	switch text := string(f.cell(f.header.censored)); strings.ToLower(text) {
	case "", "false", "no", "0":
		return false, nil
	case "true", "yes", "1", "<":
		return true, nil
	default:
		return false, refuse(text, "write true where the reading is below its value", "%s is neither true nor false",
			quote(text))
	}
}

// hand gives a reading on, unless something was refused already.
func (f *csvFile) hand(r *Reading) {
	if len(f.refusals.all) > 0 && !f.opt.SkipBad {
		return
	}
	f.notes.Last.Line = f.row.line
	if err := f.fn(r); err != nil {
		f.refuse(asRefusal(err))
		return
	}
	f.handed++
	f.notes.take(r)
}
