package logbook

import (
	"bufio"
	"bytes"
	"io"
	"unicode/utf8"
)

// csvRows reads CSV (RFC 4180) row by row. Unlike encoding/csv it gives back what is inside quotation marks to the
// byte, line ends included, and goes on after a row it could not make sense of, so that all faults of a file are found
// at once. Outside of quotation marks CRLF, LF and CR end a row; empty lines are skipped.
type csvRows struct {
	*bufio.Scanner
	comma byte
	tableRow
	lines int // line ends seen before the next row
	spans []csvSpan
	ended bool // at a row that does not end
}

type csvSpan struct {
	from, to        int  // in the row
	quoted, doubled bool // in quotation marks; with some inside, which are doubled
}

// longestRow is the most bytes a row may have. A quotation mark that is never closed ends here.
const longestRow = 1 << 20

func newCSVRows(r io.Reader, comma byte) *csvRows {
	c := &csvRows{Scanner: bufio.NewScanner(r), comma: comma}
	c.Buffer(make([]byte, 64<<10), longestRow+2) // and what tells that it ends
	c.Split(c.scan)
	return c
}

func (c *csvRows) row() *tableRow { return &c.tableRow }

func (c *csvRows) header(int) {} // a row of CSV says itself how long it is

// next reads a row; false at the end. err is that of the underlying reader.
func (c *csvRows) next() (more bool, err error) {
	if c.ended {
		return false, nil
	}
	for c.Scan() && c.Err() == nil {
		c.raw, c.line = c.Bytes(), c.lines+1
		c.lines += lineEnds(c.raw)
		if s := c.spans[0]; len(c.spans) == 1 && !s.quoted && s.from == s.to && c.problem == nil { // blank
			continue
		}
		if c.problem == nil && !utf8.Valid(c.raw) {
			c.problem = &Refusal{Reason: "the row is not UTF-8", Hint: utf8Hint}
		}
		c.cut()
		return true, nil
	}
	if err := c.Err(); err != bufio.ErrTooLong {
		return false, err
	}
	c.ended, c.line, c.fields = true, c.lines+1, c.fields[:0]
	c.problem = &Refusal{Reason: "the row does not end within 1 MiB", Hint: "is a quotation mark never closed?"}
	return true, nil
}

// scan finds the row that b begins with, its line end included, and the fields in it. It begins again where b ends
// before the row does.
func (c *csvRows) scan(b []byte, last bool) (size int, row []byte, err error) {
	c.raw, c.spans, c.problem = b, c.spans[:0], nil
	for i := 0; len(b) > 0; {
		var s csvSpan
		if i < len(b) && b[i] == '"' {
			s, i = c.scanQuoted(b, i)
		} else {
			s, i = c.scanPlain(b, i)
		}
		c.spans = append(c.spans, s)
		switch {
		case i >= len(b) && last:
			return len(b), b, nil
		case i >= len(b), b[i] == '\r' && i+1 == len(b) && !last:
			return 0, nil, nil
		case b[i] == c.comma:
			i++
		case b[i] == '\r' && i+1 < len(b) && b[i+1] == '\n':
			return i + 2, b[:i+2], nil
		default:
			return i + 1, b[:i+1], nil
		}
	}
	return 0, nil, nil
}

func (c *csvRows) scanPlain(b []byte, i int) (csvSpan, int) {
	s := csvSpan{from: i}
	for ; i < len(b); i++ {
		ch := b[i]
		if ch == c.comma || ch == '\n' || ch == '\r' {
			break
		}
		if ch == '"' && c.problem == nil {
			c.fault("a quotation mark in the middle of a field",
				`put the whole field in quotation marks and write each one inside it twice`)
		}
		if ch == 0 && c.problem == nil {
			c.fault("a NUL character", "is this a text file?")
		}
	}
	s.to = i
	return s, i
}

// scanQuoted passes a field in quotation marks; b[i] is the first of them.
func (c *csvRows) scanQuoted(b []byte, i int) (csvSpan, int) {
	s := csvSpan{from: i + 1, quoted: true}
	for i++; ; i++ {
		n := bytes.IndexByte(b[i:], '"')
		if n < 0 {
			s.to = len(b)
			c.fault("a quotation mark is opened and never closed", "")
			return s, len(b)
		}
		i += n
		if i+1 < len(b) && b[i+1] == '"' {
			s.doubled = true
			i++
			continue
		}
		break
	}
	s.to = i
	i++
	if i < len(b) && b[i] != c.comma && b[i] != '\n' && b[i] != '\r' {
		c.fault("text behind a closing quotation mark", `inside quotation marks, write each one twice`)
		_, i = c.scanPlain(b, i)
	}
	return s, i
}

// fault notes why the row makes no sense, at the field being scanned.
func (c *csvRows) fault(reason, hint string) {
	if c.problem == nil {
		c.problem = &Refusal{Column: len(c.spans) + 1, Reason: reason, Hint: hint}
	}
}

// cut turns spans into fields, taking the doubled quotation marks out.
func (c *csvRows) cut() {
	c.fields = c.fields[:0]
	for _, s := range c.spans {
		text := c.raw[s.from:s.to]
		if s.doubled {
			text = bytes.ReplaceAll(text, []byte(`""`), []byte(`"`))
		}
		c.fields = append(c.fields, csvField{text: text, quoted: s.quoted})
	}
}

func lineEnds(row []byte) int {
	n := bytes.Count(row, []byte{'\n'})
	for i := 0; ; {
		j := bytes.IndexByte(row[i:], '\r')
		if j < 0 {
			return n
		}
		i += j + 1
		if i == len(row) || row[i] != '\n' {
			n++
		}
	}
}

// The rows of a table come from CSV or from a sheet of a spreadsheet; what they mean is worked out by csvFile alone.

// csvField is one cell. Its bytes are good until the next row is read.
type csvField struct {
	text    []byte
	quoted  bool
	number  bool   // a sheet says it is a number: no mark in it is to be guessed at
	merged  bool   // a sheet has it merged with the cell above, whose text it bears
	problem string // why a sheet has no text for it; "" if it has
}

type tableRow struct {
	line    int // on which it begins, 1 is the first
	fields  []csvField
	problem *Refusal // why the row makes no sense
	raw     []byte   // as it stands in CSV, until the next row is read; nil in a sheet
}

type tableRows interface {
	next() (more bool, err error) // false at the end; err is that of the file underneath
	row() *tableRow               // the same one every time, filled by next
	header(width int)             // the row just read is the header, of so many fields
}
