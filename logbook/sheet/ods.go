package sheet

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
)

// errLocked is of a file that was saved with a password.
var errLocked = errors.New("the file is locked with a password: save it without one")

type odsFile struct {
	*archive
	wanted func(string, bool) bool
	hidden map[string]bool // styles of sheets that are not shown
	style  string          // being read
	sheets []Sheet

	keep    bool // the sheet being read is wanted
	row     Row
	repeats int // how often the row stands there
	number  int // of the row
	column  int
	merges  []merge
}

func readODS(a *archive, wanted func(string, bool) bool) (*File, error) {
	locked := false
	err := a.each("META-INF/manifest.xml", func(_ *tokens, start xml.StartElement) error {
		locked = locked || start.Name.Local == "encryption-data"
		return nil
	})
	if locked {
		return nil, errLocked
	}
	if err != nil {
		return nil, err
	}
	in, err := a.open("content.xml")
	if err != nil {
		return nil, err
	}
	defer in.Close()
	f := &odsFile{archive: a, wanted: wanted, hidden: map[string]bool{}}
	x := newTokens(in)
	for {
		t, err := x.Token()
		if err != nil {
			if len(f.sheets) > 0 && err == io.EOF {
				break
			}
			return nil, fmt.Errorf("content.xml: %w", unexpectedEnd(err))
		}
		switch t := t.(type) {
		case xml.StartElement:
			err = f.start(x, t)
		case xml.EndElement:
			err = f.end(t)
		}
		if err != nil {
			if n := len(f.sheets); n > 0 {
				err = fmt.Errorf("sheet %q: %w", f.sheets[n-1].Name, err)
			}
			return nil, err
		}
	}
	return &File{f.sheets}, nil
}

func (f *odsFile) start(x *tokens, t xml.StartElement) error {
	switch t.Name.Local {
	case "style":
		f.style = attribute(t, "name")
	case "table-properties":
		if attribute(t, "display") == "false" {
			f.hidden[f.style] = true
		}
	case "tracked-changes", "shapes", "annotation", "forms", "dde-links": // other cells and texts stand in them
		return x.Skip()
	case "table":
		s := Sheet{Name: attribute(t, "name"), Hidden: f.hidden[attribute(t, "style-name")]}
		if len(f.sheets) == mostSheets {
			return errTooLarge
		}
		f.sheets = append(f.sheets, s)
		f.number, f.merges, f.keep = 0, nil, f.wanted(s.Name, s.Hidden)
		if !f.keep {
			return x.Skip()
		}
	case "table-row":
		f.row, f.column, f.repeats = Row{Number: f.number + 1}, 0, repeated(t, "number-rows-repeated")
	case "table-cell", "covered-table-cell":
		return f.cell(x, t)
	}
	return nil
}

func (f *odsFile) end(t xml.EndElement) (err error) {
	if len(f.sheets) == 0 {
		return nil
	}
	s := &f.sheets[len(f.sheets)-1]
	switch t.Name.Local {
	case "table-row":
		f.row.trim()
		if len(f.row.Cells) > 0 {
			if f.number+f.repeats > mostRows {
				return errTooLarge
			}
			if err := f.takeCells((f.repeats - 1) * len(f.row.Cells)); err != nil {
				return err
			}
			for i := range f.repeats {
				s.Rows = append(s.Rows, Row{Number: f.number + 1 + i, Cells: append([]Cell(nil), f.row.Cells...)})
			}
		}
		f.number += f.repeats
	case "table":
		s.Rows, err = mergeDown(s.Rows, f.merges, f.archive, nil)
	}
	return err
}

// repeated is how often something stands there; what no sheet has room for is as much as it has.
func repeated(t xml.StartElement, name string) int {
	n, err := strconv.Atoi(attribute(t, name))
	if err != nil || n < 1 {
		return 1
	}
	return min(n, mostRows)
}

func (f *odsFile) cell(x *tokens, t xml.StartElement) error {
	n := repeated(t, "number-columns-repeated")
	text, err := x.paragraphs()
	if err != nil {
		return err
	}
	c := odsCell(t, text)
	if down := repeated(t, "number-rows-spanned"); down > 1 {
		f.merges = append(f.merges, merge{f.number + 1, min(f.number+down, mostRows), f.column})
	}
	if c.empty() || t.Name.Local == "covered-table-cell" {
		f.column = min(f.column+n, mostCols)
		return nil
	}
	if f.column+n > mostCols {
		return errTooLarge
	}
	if err := f.takeCells(f.column + n - len(f.row.Cells)); err != nil {
		return err
	}
	for range n {
		f.row.put(f.column, c)
		f.column++
	}
	return nil
}

// office is an attribute of OpenDocument itself, not one of the same name of an extension.
func office(t xml.StartElement, name string) string {
	for _, a := range t.Attr {
		if a.Name.Local == name && strings.HasSuffix(a.Name.Space, ":office:1.0") {
			return a.Value
		}
	}
	return ""
}

// odsCell makes a cell of what its element says; text is what it shows.
func odsCell(t xml.StartElement, text string) Cell {
	switch office(t, "value-type") {
	case "float", "percentage", "currency":
		if n, ok := numberText(office(t, "value")); ok {
			return Cell{Text: n, Number: true}
		}
		return Cell{Problem: fmt.Sprintf("%.20q is not a number", office(t, "value"))}
	case "date":
		day, clock, _ := strings.Cut(office(t, "date-value"), "T")
		if clock == "" && showsClock(text) {
			clock = "00:00:00"
		}
		return Cell{Text: strings.TrimSpace(day + " " + clock)}
	case "time":
		if clock, ok := durationText(office(t, "time-value")); ok {
			return Cell{Text: clock}
		}
	case "boolean":
		return Cell{Text: strconv.FormatBool(office(t, "boolean-value") == "true")}
	case "string":
		if whole := office(t, "string-value"); whole != "" {
			return Cell{Text: whole}
		}
	}
	if text == "" && attribute(t, "formula") != "" && office(t, "value-type") == "" {
		return Cell{Problem: noValue}
	}
	return Cell{Text: text}
}

// showsClock reports whether a cell with a date shows a time of day besides: the file leaves midnight out of the date's
// value, and a day alone is not midnight. A date has three numbers at most.
func showsClock(text string) bool {
	numbers, inside := 0, false
	for i := 0; i < len(text); i++ {
		digit := text[i] >= '0' && text[i] <= '9'
		if digit && !inside {
			numbers++
		}
		inside = digit
	}
	return numbers > 3 || strings.Contains(text, ":")
}

// durationText reads a time of day as OpenDocument writes it, PT09H10M00S; ok is false if it is none, or longer than a
// day.
func durationText(s string) (text string, ok bool) {
	written, is := strings.CutPrefix(strings.Replace(s, ",", ".", 1), "PT")
	d, err := time.ParseDuration(strings.ToLower(written))
	d = d.Round(time.Millisecond)
	return time.Time{}.Add(d).Format("15:04:05.999"), is && err == nil && d >= 0 && d < 24*time.Hour
}

// paragraphs is the text of a cell up to its end, one line for each paragraph.
func (x *tokens) paragraphs() (string, error) {
	var text strings.Builder
	depth, paragraphs, inside := 1, 0, 0
	for depth > 0 {
		t, err := x.Token()
		if err != nil {
			return "", unexpectedEnd(err)
		}
		switch t := t.(type) {
		case xml.StartElement:
			depth++
			switch t.Name.Local {
			case "annotation", "table", "custom-shape", "frame", "shapes": // not the cell's own words
				depth--
				if err := x.Skip(); err != nil {
					return "", unexpectedEnd(err)
				}
				continue
			case "p":
				if paragraphs++; paragraphs > 1 {
					text.WriteByte('\n')
				}
				inside = depth
			case "s":
				text.WriteString(strings.Repeat(" ", min(repeated(t, "c"), mostText)))
			case "tab":
				text.WriteByte('\t')
			case "line-break":
				text.WriteByte('\n')
			}
		case xml.CharData:
			if inside > 0 {
				text.Write(t)
			}
		case xml.EndElement:
			if depth == inside {
				inside = 0
			}
			depth--
		}
		if text.Len() > 4*mostText {
			return "", errors.New("the text of a cell is too long")
		}
	}
	return text.String(), nil
}
