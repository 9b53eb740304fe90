package sheet

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"
	"strings"
)

type xlsxBook struct {
	*archive
	shared    []string // texts that cells refer to
	formats   []format // of the styles that cells refer to
	since1904 bool
}

type xlsxRelation struct {
	ID     string `xml:"Id,attr"`
	Type   string `xml:"Type,attr"`
	Target string `xml:"Target,attr"`
}

func (a *archive) relations(name string) (all []xlsxRelation, err error) {
	var list struct {
		Relations []xlsxRelation `xml:"Relationship"`
	}
	err = a.decode(name, &list)
	return list.Relations, err
}

// decode reads a small part; one that is not there is empty.
func (a *archive) decode(name string, into any) error {
	in, err := a.open(name)
	if in == nil || err != nil {
		return err
	}
	defer in.Close()
	if err := newTokens(io.LimitReader(in, smallPart)).Decode(into); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

func readXLSX(a *archive, wanted func(string, bool) bool) (*File, error) {
	top, err := a.relations("_rels/.rels")
	if err != nil {
		return nil, err
	}
	main := "xl/workbook.xml"
	for _, r := range top {
		if strings.HasSuffix(r.Type, "/officeDocument") {
			main = resolve("", r.Target)
		}
	}
	var book struct {
		Properties struct {
			Date1904 string `xml:"date1904,attr"`
		} `xml:"workbookPr"`
		Sheets []struct {
			Name  string `xml:"name,attr"`
			State string `xml:"state,attr"`
			ID    string `xml:"id,attr"`
		} `xml:"sheets>sheet"`
	}
	if a.parts[main] == nil {
		return nil, ErrUnknown
	}
	if err := a.decode(main, &book); err != nil {
		return nil, err
	}
	folder, base := path.Split(main)
	relations, err := a.relations(folder + "_rels/" + base + ".rels")
	if err != nil {
		return nil, err
	}
	b := &xlsxBook{archive: a, since1904: book.Properties.Date1904 == "1" || book.Properties.Date1904 == "true"}
	where := map[string]string{}
	for _, r := range relations {
		where[r.ID] = resolve(folder, r.Target)
		switch {
		case strings.HasSuffix(r.Type, "/sharedStrings"):
			err = b.readShared(where[r.ID])
		case strings.HasSuffix(r.Type, "/styles"):
			err = b.readStyles(where[r.ID])
		}
		if err != nil {
			return nil, err
		}
	}
	f := &File{}
	if len(book.Sheets) > mostSheets {
		return nil, errTooLarge
	}
	for _, s := range book.Sheets {
		out := Sheet{Name: s.Name, Hidden: s.State == "hidden" || s.State == "veryHidden"}
		if wanted(out.Name, out.Hidden) {
			if out.Rows, err = b.readSheet(where[s.ID]); err != nil {
				return nil, fmt.Errorf("sheet %q: %w", s.Name, err)
			}
		}
		f.Sheets = append(f.Sheets, out)
	}
	return f, nil
}

func (b *xlsxBook) readStyles(name string) error {
	var styles struct {
		Formats []struct {
			ID   int    `xml:"numFmtId,attr"`
			Code string `xml:"formatCode,attr"`
		} `xml:"numFmts>numFmt"`
		Cells []struct {
			Format int `xml:"numFmtId,attr"`
		} `xml:"cellXfs>xf"`
	}
	if err := b.decode(name, &styles); err != nil {
		return err
	}
	own := map[int]format{}
	for _, f := range styles.Formats {
		own[f.ID] = formatOf(f.Code)
	}
	for _, c := range styles.Cells {
		f, ok := own[c.Format]
		if !ok {
			f = builtInFormat(c.Format)
		}
		b.formats = append(b.formats, f)
	}
	return nil
}

// readShared reads the table of texts.
func (b *xlsxBook) readShared(name string) error {
	return b.each(name, func(x *tokens, start xml.StartElement) error {
		if start.Name.Local != "si" {
			return nil
		}
		text, err := x.text(start)
		b.shared = append(b.shared, text)
		if err == nil {
			err = b.takeCells(1)
		}
		return err
	})
}

// each reads a part and hands every element to fn, which may read on.
func (a *archive) each(name string, fn func(*tokens, xml.StartElement) error) error {
	in, err := a.open(name)
	if in == nil || err != nil {
		return err
	}
	defer in.Close()
	x := newTokens(in)
	for {
		t, err := x.Token()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		if start, is := t.(xml.StartElement); is {
			if err := fn(x, start); err != nil {
				return err
			}
		}
	}
}

type tokens struct{ *xml.Decoder }

func newTokens(in io.Reader) *tokens {
	return &tokens{xml.NewTokenDecoder(&shallow{pieces: xml.NewDecoder(in)})}
}

// shallow hands on the pieces of XML up to mostDepth: the decoder behind it remembers every element that is not closed.
type shallow struct {
	pieces *xml.Decoder
	depth  int
}

func (s *shallow) Token() (xml.Token, error) {
	t, err := s.pieces.RawToken()
	switch t.(type) {
	case xml.StartElement:
		if s.depth++; s.depth > mostDepth {
			return nil, errDeep
		}
	case xml.EndElement:
		s.depth--
	}
	return t, err
}

// text is that of an element up to its end, in one or several runs; how it is spoken (rPh) is no part of it.
func (x *tokens) text(start xml.StartElement) (string, error) {
	var text struct {
		Whole string   `xml:"t"`
		Runs  []string `xml:"r>t"`
	}
	err := x.DecodeElement(&text, &start)
	return text.Whole + strings.Join(text.Runs, ""), unexpectedEnd(err)
}

func unexpectedEnd(err error) error {
	if err == io.EOF {
		return io.ErrUnexpectedEOF
	}
	return err
}

// readSheet reads the rows of a sheet. A part that is not there, such as that of a chart, has none.
func (b *xlsxBook) readSheet(name string) ([]Row, error) {
	var rows []Row
	var merges []merge
	number, column := 0, 0
	err := b.each(name, func(x *tokens, start xml.StartElement) error {
		switch start.Name.Local {
		case "row":
			number, column = number+1, 0
			if n, err := strconv.Atoi(attribute(start, "r")); err == nil && n >= number && n <= mostRows {
				number = n
			}
			if number > mostRows {
				return errTooLarge
			}
			rows = append(rows, Row{Number: number})
		case "c":
			if row, col, ok := parsePlace(attribute(start, "r")); ok && row == number && col >= column {
				column = col
			}
			if len(rows) == 0 || column >= mostCols {
				return errors.New("a cell stands outside of the sheet")
			}
			cell, err := b.readCell(x, start)
			if err != nil {
				return err
			}
			row := &rows[len(rows)-1]
			if !cell.empty() {
				if err := b.takeCells(column + 1 - len(row.Cells)); err != nil {
					return err
				}
				row.put(column, cell)
			}
			column++
		case "mergeCell":
			from, to, _ := strings.Cut(attribute(start, "ref"), ":")
			top, column, ok := parsePlace(from)
			if bottom, _, ok2 := parsePlace(to); ok && ok2 && bottom > top {
				merges = append(merges, merge{top, bottom, column})
			}
		}
		return nil
	})
	return mergeDown(rows, merges, b.archive, err)
}

func attribute(start xml.StartElement, name string) string {
	for _, a := range start.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (b *xlsxBook) readCell(x *tokens, start xml.StartElement) (Cell, error) {
	kind, style := attribute(start, "t"), attribute(start, "s")
	var value, inline strings.Builder
	formula, valued, at := false, false, ""
	for {
		t, err := x.Token()
		if err != nil {
			return Cell{}, unexpectedEnd(err)
		}
		switch t := t.(type) {
		case xml.StartElement:
			switch at = t.Name.Local; at {
			case "f":
				formula = true
			case "v":
				valued = true
			case "is":
				text, err := x.text(t)
				if err != nil {
					return Cell{}, err
				}
				inline.WriteString(text)
			}
		case xml.CharData:
			if at == "v" && value.Len() < mostText {
				value.Write(t)
			}
		case xml.EndElement:
			if t.Name.Local == "c" {
				return b.cell(kind, style, value.String()+inline.String(), formula && !valued), nil
			}
			at = ""
		}
	}
}

// cell makes a cell of what the file says; unknown is that of a formula without a value.
func (b *xlsxBook) cell(kind, style, value string, unknown bool) Cell {
	switch {
	case unknown:
		return Cell{Problem: noValue}
	case value == "":
		return Cell{}
	}
	switch kind {
	case "s":
		i, err := strconv.Atoi(value)
		if err != nil || i < 0 || i >= len(b.shared) {
			return Cell{Problem: "the text of the cell is not in the file"}
		}
		return Cell{Text: b.shared[i]}
	case "str", "inlineStr", "e":
		return Cell{Text: value}
	case "b":
		return Cell{Text: strconv.FormatBool(value == "1")}
	case "d": // a date as ISO 8601 writes it
		return Cell{Text: value}
	}
	if i, err := strconv.Atoi(style); err == nil && i >= 0 && i < len(b.formats) && b.formats[i] != (format{}) {
		if text, ok := serialText(value, b.formats[i], b.since1904); ok {
			return Cell{Text: text}
		}
	}
	text, ok := numberText(value)
	if !ok {
		return Cell{Problem: fmt.Sprintf("%.20q is not a number", value)}
	}
	return Cell{Text: text, Number: true}
}

// noValue is why a formula that no spreadsheet program has worked out cannot be read.
const noValue = "a formula without its value: open the file in a spreadsheet program and save it"
