package logbook

import (
	"bytes"
	"io"
	"strings"
	"unicode/utf8"
)

// csvRows reads CSV (RFC 4180) row by row. Unlike encoding/csv it gives back what is inside quotation marks to the
// byte, line ends included, and goes on after a row it could not make sense of, so that all faults of a file are found
// at once. Outside of quotation marks CRLF, LF and CR end a row; empty lines are skipped.
type csvRows struct {
	r     io.Reader
	comma byte
	ended bool // r has no more

	buf        []byte
	start, end int // what of buf is not yet used

	tableRow
	lines int // line ends seen before start
	spans []csvSpan
}

type csvSpan struct {
	from, to        int
	quoted, doubled bool // in quotation marks; with some inside, which are doubled
}

// longestRow is the most bytes a row may have. A quotation mark that is never closed ends here.
const longestRow = 1 << 20

func newCSVRows(r io.Reader, comma byte) *csvRows {
	return &csvRows{r: r, comma: comma, buf: make([]byte, 64<<10)}
}

func (c *csvRows) row() *tableRow { return &c.tableRow }

func (c *csvRows) header(int) {} // a row of CSV says itself how long it is

// next reads a row; false at the end. err is that of the underlying reader.
func (c *csvRows) next() (more bool, err error) {
	for {
		size, whole := c.scan()
		if !whole {
			if c.end-c.start > longestRow {
				c.raw, c.line = c.buf[c.start:c.end], c.lines+1
				c.problem = &Refusal{Reason: "the row does not end within 1 MiB", Hint: "is a quotation mark never closed?"}
				c.fields = c.fields[:0]
				c.start, c.end, c.ended, c.r = 0, 0, true, strings.NewReader("")
				return true, nil
			}
			if err := c.fill(); err != nil {
				return false, err
			}
			continue
		}
		if size == 0 {
			return false, nil
		}
		row := c.buf[c.start : c.start+size]
		c.raw, c.line = row, c.lines+1
		c.lines += lineEnds(row)
		blank := len(c.spans) == 1 && !c.spans[0].quoted && c.spans[0].from == c.spans[0].to && c.problem == nil
		if !blank {
			if c.problem == nil && !utf8.Valid(row) {
				c.problem = &Refusal{Reason: "the row is not UTF-8", Hint: utf8Hint}
			}
			c.cut()
		}
		c.start += size
		if !blank {
			return true, nil
		}
	}
}

// fill makes room and reads until the buffer is full or there is no more.
func (c *csvRows) fill() error {
	c.end = copy(c.buf, c.buf[c.start:c.end])
	c.start = 0
	if c.end == len(c.buf) {
		c.buf = append(c.buf, make([]byte, len(c.buf))...)
	}
	n, err := io.ReadFull(c.r, c.buf[c.end:])
	c.end += n
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		c.ended, err = true, nil
	}
	return err
}

// scan finds the fields of the row at start, and how many bytes it has with its line end. whole is false if the
// buffer ends before the row does. It changes no byte, since it may have to begin again.
func (c *csvRows) scan() (size int, whole bool) {
	c.spans, c.problem = c.spans[:0], nil
	b := c.buf[:c.end]
	i := c.start
	for {
		var s csvSpan
		if i < len(b) && b[i] == '"' {
			s, i = c.scanQuoted(b, i)
		} else {
			s, i = c.scanPlain(b, i)
		}
		c.spans = append(c.spans, s)
		switch {
		case i >= len(b):
			if c.ended && len(c.spans) == 1 && i == c.start {
				return 0, true // nothing left
			}
			return i - c.start, c.ended
		case b[i] == c.comma:
			i++
		case b[i] == '\r' && i+1 == len(b) && !c.ended:
			return 0, false
		case b[i] == '\r' && i+1 < len(b) && b[i+1] == '\n':
			return i + 2 - c.start, true
		default:
			return i + 1 - c.start, true
		}
	}
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
		text := c.buf[s.from:s.to]
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
